//! Scores of an invented, labelled folder, counted by hand.

use crate::support::command::{Ran, call, folder};
use crate::{GRADES, scored};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

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
    midi_file(0, &[Track::default().tempo(0, 500_000).metre(0, (4, 4)).and(&notes)])
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
    call("xtask-analysis", &["score", folder.to_str().unwrap()])
}

fn labelled(name: &str, labels: &[Value]) -> PathBuf {
    let folder = folder(name);
    write(&folder, labels);
    folder
}

/// Found are notes 4, 8 and 12. The first solo labels just these; the second 4, 9, 10 and 12.
/// Pooled: 6 found, 7 labelled, 5 right. Each solo's first note is given and not counted.
fn two_solos(name: &str) -> PathBuf {
    let (mut a, mut b) = (label("a.mid", &[0, 4, 8, 12]), label("b.mid", &[0, 4, 9, 10, 12]));
    a["tempo_bpm"] = json!(120);
    b["feel"] = json!("LATIN");
    labelled(name, &[a, b])
}

#[test]
fn starts_and_places_counted_by_hand() {
    let ran = score(&two_solos("score"));
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    let (precision, recall) = (5.0 / 6.0, 5.0 / 7.0_f64);
    let f1 = 2.0 * precision * recall / (precision + recall);
    // Means over solos: precision 1 and 2/3, recall 1 and 1/2, F1 1 and 4/7.
    let expected = format!(
        "solos 2\n\
         phrase starts, pooled:          precision {precision:.4}  recall {recall:.4}  F1 {f1:.4}  \
         (6 found, 7 labelled, 5 right)\n\
         phrase starts, mean over solos: precision 0.8333  recall 0.7500  F1 0.7857\n  \
         by tempo:  100-140 1.000\n  \
         by feel:   LATIN 0.571  SWING 1.000\n  \
         by source:  labelled {f1:.3}\n\
         entry class at the onset, six classes:        agreement 1.0000  (7 of 7)\n\
         entry class at the onset, beat / and / other: agreement 1.0000  (7 of 7)\n"
    );
    assert!(ran.out.starts_with(&expected), "{}", ran.out);
    for classes in ["six classes:       ", "beat / and / other:"] {
        let settled = format!("\nentry class settled, {classes} agreement 1.0000  (7 of 7)\n");
        assert!(ran.out.contains(&settled), "{}", ran.out);
    }
    for grade in ["live", "settled", "after"] {
        assert!(ran.out.contains(&format!("\nmodel, {:8} precision ", format!("{grade}:"))));
    }
}

/// Entries are heard on one, "and", beat and one. The second solo's labels are on one, "and",
/// "and", beat and one: 10 points more for beat one and 15 less off the beat.
#[test]
fn the_same_in_json() {
    let scores = scored(&two_solos("score-json"), &[]);
    assert_eq!((&scores["format"], &scores["solos"]), (&json!(1), &json!(2)));
    let starts = &scores["heard"]["starts"];
    let count = |of: &Value| [&of["found"], &of["labelled"], &of["right"]].map(Value::clone);
    assert_eq!(count(&starts["pooled"]), [6, 7, 5]);
    assert_eq!(count(&starts["by_tempo"]["100-140"]), [3, 3, 3]);
    assert_eq!(count(&starts["by_feel"]["LATIN"]), [3, 4, 2]);
    assert_eq!(starts["by_tempo"].as_object().unwrap().len(), 1);
    let entries = &scores["entries"];
    let classes = &entries["classes"]["pooled"];
    assert_eq!((&classes["of"], &classes["six_agree"]), (&json!(7), &json!(7)));
    assert_eq!(&entries["at_onset"]["pooled"], classes);
    assert_eq!(&entries["settled"]["pooled"], classes);
    assert_eq!(classes["labelled_then_heard"]["one"]["one"], 4, "both solos begin and end on one");
    assert_eq!(
        entries["beat_one"],
        json!({"solos": 2, "mean_absolute_points": 5.0, "mean_points": 5.0})
    );
    assert_eq!(
        entries["off_beat"],
        json!({"solos": 2, "mean_absolute_points": 7.5, "mean_points": -7.5})
    );
    for (model, grade) in scores["models"].as_array().unwrap().iter().zip(GRADES) {
        assert_eq!(model["grade"], grade);
        assert_eq!(model["starts"]["pooled"]["labelled"], 7);
        // Notes follow each other without a rest, but for three in each solo.
        assert_eq!(model["calibration"]["ruled_out"]["count"], 24.0);
        assert_eq!(model["calibration"]["ruled_out"]["came"], 2.0, "notes 9 and 10");
        let bins = model["calibration"]["bins"].as_array().unwrap();
        assert_eq!(bins.len(), 15);
        assert_eq!(bins.iter().map(|bin| bin["count"].as_f64().unwrap()).sum::<f64>(), 6.0);
    }
    for absent in ["gate_ms", "legato_seconds", "held_out", "taught"] {
        assert_eq!(scores[absent], Value::Null, "{absent}");
    }
}

/// Rests before the phrases last 1.75, 1.25 and 2 s.
#[test]
fn rests_are_filled_and_gates_fixed_before_anything_is_heard() {
    let folder = labelled("score-ends", &[label("a.mid", &[0, 4, 8, 12])]);
    let found = |options: &[&str]| {
        let scores = scored(&folder, options);
        scores["heard"]["starts"]["pooled"]["found"].as_u64().unwrap()
    };
    assert_eq!(found(&["--legato", "1.2"]), 3);
    assert_eq!(found(&["--legato", "1.5"]), 2);
    assert_eq!(found(&["--legato", "2"]), 1, "a rest of 2 s is not under 2 s");
    // From the last attacks it is 2, 1.5 and 2.25 s. No rest under 0.08 s parts phrases.
    assert_eq!(found(&["--gate", "300"]), 3);
    assert_eq!(found(&["--gate", "1430"]), 2);
    assert_eq!(found(&["--gate", "1930"]), 1);
    let scores = scored(&folder, &["--gate", "1930"]);
    assert_eq!((&scores["gate_ms"], &scores["legato_seconds"]), (&json!(1930.0), &Value::Null));
    let model = &scores["models"][0]["calibration"]["ruled_out"];
    // Twelve notes inside phrases, where the key is struck again, and those after 1.5 and 2 s.
    assert_eq!(model["count"], 14.0);
}

/// A label of another place for the first note of bar 2's phrase is one disagreement in four.
#[test]
fn a_place_that_disagrees() {
    let mut other = label("a.mid", &[0, 4, 8, 12]);
    other["notes"]["tatum"][4] = json!(1);
    let ran = score(&labelled("score-place", &[other]));
    assert!(ran.out.contains("settled, six classes:        agreement 0.7500  (3 of 4)"), "{ran:?}");
    // Labelled on a beat, heard on the "and".
    assert!(ran.out.contains("\n  beat               0         1         1         0"), "{ran:?}");
    let mut waltz = label("a.mid", &[0, 4, 8, 12]);
    waltz["metre"] = json!("3/4");
    let ran = score(&labelled("score-waltz", &[waltz]));
    assert!(ran.out.contains("settled, six classes:        agreement 0.0000  (0 of 0)"), "{ran:?}");
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
        let six = ran.out.lines().find(|line| line.contains("six classes")).unwrap();
        assert!(six.ends_with(agreed), "{feel}: {ran:?}");
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
    for (folder, expected) in [
        (&short, "a.mid: no place for note 4"),
        (&unordered, "a.mid: phrase_first_notes are not in order"),
        (&missing, "a.mid: "),
        (&damaged, "a.mid: not a Standard MIDI File"),
        (&garbled, "labels.jsonl line 2: "),
        (&empty, "labels.jsonl: "),
    ] {
        let ran = score(folder);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{expected}: {ran:?}");
        assert_eq!(ran.err.lines().count(), 1, "{expected}: {ran:?}");
        assert!(ran.err.contains(expected), "{expected}: {ran:?}");
    }
    let few = labelled("score-few", &[label("a.mid", &[0, 4, 8, 12])]);
    let five: Vec<Value> =
        ["a", "b", "c", "d", "e"].map(|n| label(&format!("{n}.mid"), &[0, 4, 8, 12])).into();
    // Every rest begins a phrase: nothing says where none does.
    let alike = labelled("score-alike", &five);
    for (folder, expected) in
        [(&few, "needs 5 solos at least"), (&alike, "nothing can be fitted to these labels")]
    {
        let ran = call("xtask-analysis", &["score", folder.to_str().unwrap(), "--cross-validate"]);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{expected}: {ran:?}");
        assert!(ran.err.contains(expected), "{expected}: {ran:?}");
    }
    for arguments in [&["score"][..], &["score", "a", "b"], &["score", "a", "--grades"]] {
        assert_eq!(call("xtask-analysis", arguments).code, Some(2));
    }
}
