//! Corrections of a file, kept beside it; and taps that tell a rig's delay.

use crate::support::command::{Ran, call, folder};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use serde_json::Value;
use std::path::{Path, PathBuf};

/// Three phrases of eight eighths at 120 a minute: from beats 1 of bars 1, 3 and 5.
fn three(folder: &Path) -> PathBuf {
    let mut solo = Track::default();
    for note in 0..24_u64 {
        let from = note / 8 * 8 * QUARTER + note % 8 * QUARTER / 2;
        solo = solo.note(0, 60 + u8::try_from(note % 8).unwrap(), from, from + 200);
    }
    let path = folder.join("three.mid");
    std::fs::write(&path, midi_file(1, &[solo])).unwrap();
    path
}

fn run(command: &str, path: &Path, options: &[&str]) -> Ran {
    let mut arguments = vec![command, path.to_str().unwrap()];
    arguments.extend(options);
    call("overbar", &arguments)
}

fn bars(ran: &Ran) -> Vec<i64> {
    let review: Value = serde_json::from_str(&ran.out).unwrap();
    let phrases = review["phrases"].as_array().unwrap().iter();
    phrases.map(|phrase| phrase["entry"]["bar"].as_i64().unwrap()).collect()
}

#[test]
fn phrases_are_joined_and_split_and_kept_so() {
    let folder = folder("by-hand");
    let path = three(&folder);
    assert_eq!(bars(&run("review", &path, &["--json"])), [1, 3, 5]);
    let joined = run("review", &path, &["--json", "--join", "3.1"]);
    assert_eq!(bars(&joined), [1, 5]);
    let taught: Value = serde_json::from_str(&joined.out).unwrap();
    assert!(taught["taught"]["finer"].as_f64().unwrap() < 0.0, "joining tells fewer phrases");
    assert_eq!(taught["taught"]["corrections"], 1);

    let kept = folder.join("three.json");
    let file = kept.to_str().unwrap();
    let split = run("review", &path, &["--split", "5.3", "--join", "3.1", "--corrections", file]);
    assert_eq!(split.code, Some(0), "{}", split.err);
    assert!(split.out.contains("learned from 2 corrections: phrase sensitivity "), "{}", split.out);
    let again = run("review", &path, &["--json", "--corrections", file]);
    assert_eq!(bars(&again), [1, 5, 5]);
    // The later correction counts.
    run("review", &path, &["--split", "3.1", "--corrections", file, "--force"]);
    let again = run("review", &path, &["--json", "--corrections", file]);
    assert_eq!(bars(&again), [1, 3, 5, 5]);
}

#[test]
fn what_cannot_be_corrected_is_told_and_nothing_is_written() {
    let folder = folder("by-hand-wrong");
    let path = three(&folder);
    let kept = folder.join("kept.json");
    let file = kept.to_str().unwrap();
    for (options, expected) in [
        (&["--split", "2.1"][..], "bar 2, beat 1: no note of the line in that bar"),
        (&["--split", "3.1.25"], "the nearest in that bar is at beat 1"),
        (&["--join", "3"], "not BAR.BEAT"),
    ] {
        let mut all = vec!["--corrections", file];
        all.extend(options);
        let ran = run("review", &path, &all);
        assert_eq!(ran.code, Some(2));
        assert!(ran.err.contains(expected), "{}", ran.err);
        assert!(!kept.exists());
    }
    std::fs::write(&kept, r#"{"format":9,"corrections":[]}"#).unwrap();
    let ran = run("review", &path, &["--corrections", file]);
    assert!(ran.err.contains("format 9: only 1 is known"), "{}", ran.err);
    let ran = run("review", &folder, &["--split", "3.1"]);
    assert!(ran.err.contains("of one file"), "{}", ran.err);
}

#[test]
fn taps_tell_the_delay_of_a_rig() {
    let folder = folder("taps");
    let path = folder.join("taps.mid");
    let taps = |count: u64| {
        // 24 of 480 ticks at 120 a minute are 25 ms.
        (0..count).fold(Track::default(), |track, tap| {
            track.note(0, 60, tap * QUARTER + 24, tap * QUARTER + 100)
        })
    };
    std::fs::write(&path, midi_file(1, &[taps(16)])).unwrap();
    let ran = run("calibrate", &path, &[]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.out.contains("input latency: 25 ms (14 taps;"), "{}", ran.out);
    // Heard with that delay taken off, they are on the beat.
    let lag = |options: &[&str]| {
        let review: Value = serde_json::from_str(&run("review", &path, options).out).unwrap();
        review["figures"]["feel"]["lag"]["on_beat_ms"]["mean"].as_f64().unwrap()
    };
    assert!((lag(&["--json"]) - 25.0).abs() < 1e-6);
    assert!(lag(&["--json", "--latency", "25"]).abs() < 1e-6);
    std::fs::write(&path, midi_file(1, &[taps(7)])).unwrap();
    let ran = run("calibrate", &path, &[]);
    assert!(ran.err.contains("3 more taps are needed"), "{}", ran.err);
}
