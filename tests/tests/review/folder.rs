//! Folders: one line a file, in order of name, and what fails does not stop the rest.

use crate::support::command::{call, folder};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use serde_json::Value;
use std::path::Path;

fn tune(notes: u64) -> Vec<u8> {
    let mut solo = Track::default();
    for note in 0..notes {
        solo = solo.note(0, 60, note * QUARTER, note * QUARTER + 400);
    }
    midi_file(1, &[solo])
}

fn run(folder: &Path, options: &[&str]) -> crate::support::command::Ran {
    let mut arguments = vec!["review", folder.to_str().unwrap()];
    arguments.extend(options);
    call("overbar", &arguments)
}

#[test]
fn files_come_in_order_of_name_whichever_is_done_first() {
    let folder = folder("order");
    // The first takes longest.
    for number in 0..40_u64 {
        let notes = if number == 0 { 20_000 } else { 1 + number };
        std::fs::write(folder.join(format!("take-{number:02}.mid")), tune(notes)).unwrap();
    }
    std::fs::write(folder.join("take-05.MIDI"), tune(3)).unwrap();
    std::fs::write(folder.join("notes.txt"), "not music").unwrap();
    let ran = run(&folder, &["--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    let files: Vec<String> = ran
        .out
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap()["file"].as_str().unwrap().into())
        .collect();
    assert_eq!(files.len(), 41);
    assert!(files.is_sorted(), "{files:?}");
    assert!(files[0].ends_with("take-00.mid"));

    let text = run(&folder, &[]);
    assert_eq!(text.code, Some(0));
    assert_eq!(text.out.lines().filter(|line| !line.starts_with(' ')).count(), 41);
}

#[test]
fn what_fails_is_told_and_the_rest_is_reviewed() {
    let folder = folder("failures");
    for (name, bytes) in [("a.mid", tune(3)), ("c.mid", tune(5)), ("e.mid", tune(7))] {
        std::fs::write(folder.join(name), bytes).unwrap();
    }
    std::fs::write(folder.join("b.mid"), "not music").unwrap();
    std::fs::create_dir(folder.join("d.mid")).unwrap();
    let ran = run(&folder, &["--json"]);
    assert_eq!(ran.code, Some(2));
    let notes: Vec<u64> = ran
        .out
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap()["notes"].as_u64().unwrap())
        .collect();
    assert_eq!(notes, [3, 5, 7]);
    let errors: Vec<&str> = ran.err.lines().collect();
    assert_eq!(errors.len(), 2, "{errors:?}");
    assert!(errors[0].ends_with("b.mid: not a Standard MIDI File"), "{errors:?}");
    assert!(errors[1].contains("d.mid: "), "{errors:?}");
}

#[test]
fn a_folder_without_music() {
    let folder = folder("empty");
    let ran = run(&folder, &["--json"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""));
    assert!(ran.err.trim_end().ends_with("empty: no MIDI files"), "{ran:?}");
}

/// A link to nothing and a pipe, which would be read for ever, are reported like any other failure.
#[cfg(unix)]
#[test]
fn links_to_nothing_and_pipes() {
    let folder = folder("links");
    std::fs::write(folder.join("a.mid"), tune(3)).unwrap();
    std::os::unix::fs::symlink("nowhere", folder.join("b.mid")).unwrap();
    let made = std::process::Command::new("mkfifo").arg(folder.join("c.mid")).status().unwrap();
    assert!(made.success());
    let ran = run(&folder, &["--json"]);
    assert_eq!((ran.code, ran.out.lines().count()), (Some(2), 1));
    let errors: Vec<&str> = ran.err.lines().collect();
    assert_eq!(errors.len(), 2, "{errors:?}");
    assert!(errors[0].contains("b.mid: "), "{errors:?}");
    assert!(errors[1].ends_with("c.mid: not a file"), "{errors:?}");
}

/// Phrases of four quarters, a bar of rest apart, from beat two of each other bar.
fn phrases(count: u64) -> Vec<u8> {
    let mut solo = Track::default();
    for note in 0..4 * count {
        let on = (8 * (note / 4) + 1 + note % 4) * QUARTER;
        solo = solo.note(0, 60, on, on + 400);
    }
    midi_file(1, &[solo])
}

/// All solos of the set are alike, so that no figure is above any of theirs.
#[test]
fn takes_are_compared_beside_a_set_of_ones_own() {
    let folder = folder("beside");
    let set = folder.join("set");
    std::fs::create_dir(&set).unwrap();
    for (name, bytes) in [("a.mid", phrases(12)), ("b.mid", phrases(16))] {
        std::fs::write(folder.join(name), &bytes).unwrap();
        std::fs::write(set.join(name), &bytes).unwrap();
    }
    std::fs::write(set.join("short.mid"), phrases(3)).unwrap();
    let [a, b] = ["a.mid", "b.mid"].map(|name| folder.join(name).to_str().unwrap().to_owned());
    let set = set.to_str().unwrap();
    let ran = call("overbar", &["compare", &a, &b, "--reference", set]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{}", ran.out);
    let beside = "  off-beat starts: 0 %, no higher than any of your 2 reference solos (middle 50 %: 0\u{2013}0 %)";
    assert_eq!(ran.out.lines().filter(|line| *line == beside).count(), 2, "{}", ran.out);
    let none = call("overbar", &["compare", &a, &b, "--reference", &format!("{set}/none")]);
    assert_eq!((none.code, none.out.as_str()), (Some(2), ""));
}
