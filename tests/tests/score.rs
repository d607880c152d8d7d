//! Scores of an invented, labelled folder, counted by hand.

mod support;

use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use support::command::{Ran, folder, xtask};
use support::smf::{QUARTER, Track, song};

/// Eighths at 120 in 4/4: from beat one of bar 1, the "and" of 2 of bar 2, beat three of bar 3,
/// and beat one of bar 5. Four notes each.
const STARTS: [u64; 4] = [0, 1920 + 720, 2 * 1920 + 960, 4 * 1920];

fn solo() -> Vec<u8> {
    let mut notes = Track::default();
    for start in STARTS {
        for note in 0..4 {
            let from = start + note * QUARTER / 2;
            notes = notes.note(0, 60, from, from + QUARTER / 2);
        }
    }
    song(0, &[Track::default().tempo(0, 500_000).metre(0, (4, 4)).and(&notes)])
}

fn label(file: &str, firsts: &[usize]) -> Value {
    // Beat, division and tatum of every note; bars are not scored.
    let places = |of: fn(u64) -> u64| -> Vec<u64> {
        let ticks = STARTS.iter().flat_map(|start| (0..4).map(move |n| start + n * QUARTER / 2));
        ticks.map(of).collect()
    };
    json!({
        "id": file,
        "file": format!("midi/{file}"),
        "feel": "SWING",
        "metre": "4/4",
        "phrase_first_notes": firsts,
        "notes": {
            "beat": places(|tick| tick % 1920 / QUARTER + 1),
            "division": places(|_| 2),
            "tatum": places(|tick| tick % QUARTER / (QUARTER / 2) + 1),
        }
    })
}

fn write(folder: &Path, labels: &[Value]) {
    std::fs::create_dir(folder.join("midi")).unwrap();
    for label in labels {
        std::fs::write(folder.join(label["file"].as_str().unwrap()), solo()).unwrap();
    }
    let lines: Vec<String> = labels.iter().map(Value::to_string).collect();
    std::fs::write(folder.join("labels.jsonl"), lines.join("\n") + "\n\n").unwrap();
}

fn score(folder: &Path) -> Ran {
    xtask(&["score", folder.to_str().unwrap()])
}

fn labelled(name: &str, labels: &[Value]) -> PathBuf {
    let folder = folder(name);
    write(&folder, labels);
    folder
}

/// Found are notes 4, 8 and 12. The first solo labels just these; the second 4, 9, 10 and 12.
/// Pooled: 6 found, 7 labelled, 5 right. Each solo's first note is given and not counted.
#[test]
fn starts_and_places_counted_by_hand() {
    let folder =
        labelled("score", &[label("a.mid", &[0, 4, 8, 12]), label("b.mid", &[0, 4, 9, 10, 12])]);
    let ran = score(&folder);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    let (precision, recall) = (5.0 / 6.0, 5.0 / 7.0_f64);
    let f1 = 2.0 * precision * recall / (precision + recall);
    // Means over solos: precision 1 and 2/3, recall 1 and 1/2, F1 1 and 4/7.
    let expected = format!(
        "solos 2\n\
         phrase starts, pooled:          precision {precision:.4}  recall {recall:.4}  F1 {f1:.4}  \
         (6 found, 7 labelled, 5 right)\n\
         phrase starts, mean over solos: precision 0.8333  recall 0.7500  F1 0.7857\n\
         entry class, six classes:       agreement 1.0000  (7 of 7)\n\
         entry class, beat / and / other: agreement 1.0000  (7 of 7)\n"
    );
    assert_eq!(ran.out, expected);
}

/// A label of another place for the first note of bar 2's phrase is one disagreement in four.
#[test]
fn a_place_that_disagrees() {
    let mut other = label("a.mid", &[0, 4, 8, 12]);
    other["notes"]["tatum"][4] = json!(1);
    let ran = score(&labelled("score-place", &[other]));
    assert!(ran.out.contains("six classes:       agreement 0.7500  (3 of 4)"), "{ran:?}");
    let mut waltz = label("a.mid", &[0, 4, 8, 12]);
    waltz["metre"] = json!("3/4");
    let ran = score(&labelled("score-waltz", &[waltz]));
    assert!(ran.out.contains("six classes:       agreement 0.0000  (0 of 0)"), "{ran:?}");
}

/// In swing feel the last third of a beat is the "and", in other feels a triplet's last note.
#[test]
fn the_last_third_is_the_and_in_swing_only() {
    for (feel, agreed) in [("SWING", "(4 of 4)"), ("LATIN", "(3 of 4)")] {
        let mut label = label("a.mid", &[0, 4, 8, 12]);
        label["feel"] = json!(feel);
        label["notes"]["division"][4] = json!(3);
        label["notes"]["tatum"][4] = json!(3);
        let ran = score(&labelled(&format!("score-{feel}"), &[label]));
        assert!(ran.out.lines().nth(3).unwrap().ends_with(agreed), "{feel}: {ran:?}");
    }
}

#[test]
fn folders_that_cannot_be_scored() {
    let short = {
        let mut label = label("a.mid", &[0, 4, 8, 12]);
        label["notes"]["beat"] = json!([1, 2]);
        labelled("score-short", &[label])
    };
    let unordered = labelled("score-unordered", &[label("a.mid", &[0, 8, 4])]);
    let missing = labelled("score-missing", &[label("a.mid", &[0])]);
    std::fs::remove_file(missing.join("midi/a.mid")).unwrap();
    let damaged = labelled("score-damaged", &[label("a.mid", &[0])]);
    std::fs::write(damaged.join("midi/a.mid"), "not music").unwrap();
    let garbled = labelled("score-garbled", &[label("a.mid", &[0])]);
    std::fs::write(garbled.join("labels.jsonl"), "\n{\"id\": 1}\n").unwrap();
    let empty = folder("score-empty");
    for (folder, told) in [
        (&short, "a.mid: no place for note 4"),
        (&unordered, "a.mid: phrase_first_notes are not in order"),
        (&missing, "a.mid: "),
        (&damaged, "a.mid: not a Standard MIDI File"),
        (&garbled, "labels.jsonl line 2: "),
        (&empty, "labels.jsonl: "),
    ] {
        let ran = score(folder);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{told}: {ran:?}");
        assert_eq!(ran.err.lines().count(), 1, "{told}: {ran:?}");
        assert!(ran.err.contains(told), "{told}: {ran:?}");
    }
    for arguments in [&["score"][..], &["score", "a", "b"]] {
        assert_eq!(xtask(arguments).code, Some(2));
    }
}
