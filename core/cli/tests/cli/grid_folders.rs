//! Several takes without a click, each with its own beat file from a folder.

use crate::grids::{at_100, review, starts};
use crate::support::{Desk, Ran, taps, tones, wav};
use overbar_testkit::midi::QUARTER;
use serde_json::Value;

/// Ticks of a beat of the takes at 100 BPM, in a file at 120 BPM.
fn beat(beat: u64) -> u64 {
    (beat as f64 * 1.2 * QUARTER as f64) as u64
}

/// Two takes at 100 BPM in files at 120 BPM, and the taps of both.
fn desk() -> Desk {
    let desk = Desk::new();
    for folder in ["free", "tapped"] {
        std::fs::create_dir(desk.path(folder)).unwrap();
    }
    for take in ["one", "two"] {
        std::fs::write(desk.path(&format!("free/{take}.mid")), at_100(&[])).unwrap();
        let taps = taps((0..72).map(beat));
        std::fs::write(desk.path(&format!("tapped/{take}.mid")), taps).unwrap();
    }
    desk
}

fn json(ran: &Ran) -> Vec<Value> {
    assert_eq!(ran.code, Some(0), "{ran:?}");
    ran.out.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

#[test]
fn each_take_of_a_folder_uses_its_own_beats() {
    let desk = desk();
    let expected: Vec<_> = (0..8).map(|phrase| (2 * phrase + 1, 1.5, "and".to_owned())).collect();
    let tapped = ["--taps", "tapped", "--write-anchors", "grids2"];
    let reviews = json(&desk.run(&[&["review", "free", "--json"][..], &tapped].concat()));
    assert_eq!(reviews.len(), 2);
    reviews.iter().for_each(|review| assert_eq!(starts(review), expected));
    // The saved anchors give the same result, in any command.
    for take in ["free/one.mid", "free/two.mid"] {
        assert_eq!(starts(&review(&desk, take, &["--anchors", "grids2"])), expected);
    }
    let kept = ["--anchors", "grids2"];
    let run = |command: &[&str]| desk.run(&[command, &kept].concat());
    let compared = &json(&run(&["compare", "free", "--json"]))[0];
    for take in compared["takes"].as_array().unwrap() {
        assert_eq!(take["figures"]["off_beat_entries"]["share"], 1.0, "{take}");
    }
    let comp = run(&["comp", "free", "--form", "16", "--out", "comp.mid", "--json"]);
    assert_eq!(json(&comp)[0]["figures"]["off_beat_entries"]["share"], 1.0);
    // The comp's bar lines are at the anchors, and it is as long: 8 eighths and .8 at 100 BPM.
    let comp = review(&desk, "comp.mid", &[]);
    assert_eq!(starts(&comp), expected);
    for phrase in comp["phrases"].as_array().unwrap() {
        let seconds = phrase["seconds"].as_f64().unwrap();
        assert!((seconds - 4.4 * 0.6).abs() < 0.005, "{phrase}");
    }
    run(&["export", "free", "--out", "out"]);
    assert_eq!(starts(&review(&desk, "out/two.mid", &[])), expected);
    let index = "student,date,tune,file\nAda,2026-03-02,Low Tide,one.mid\n";
    std::fs::write(desk.path("free/index.csv"), index).unwrap();
    let progress = json(&run(&["progress", "free", "--json"]));
    let figures = progress[0]["progress"]["figures"].as_array().unwrap();
    let on_one = figures.iter().find(|of| of["measure"] == "beat_one_entries").unwrap();
    assert_eq!(on_one["days"][0]["value"], 0.0, "{on_one}");
    assert_eq!(json(&run(&["advice", "free", "--json"])).len(), 2);
    // Nothing is overwritten.
    let again = desk.run(&[&["review", "free"][..], &tapped].concat());
    assert_eq!(again.code, Some(2));
    assert!(again.err.contains("one.anchors.json: the file exists"), "{}", again.err);
}

#[test]
fn a_take_without_a_beat_file_keeps_its_own_beats_and_is_reported() {
    let desk = desk();
    std::fs::remove_file(desk.path("tapped/two.mid")).unwrap();
    let ran = desk.run(&["review", "free", "--taps", "tapped", "--json"]);
    let reviews = json(&ran);
    assert_eq!(reviews[0]["grid"]["source"], "tap");
    assert_eq!(reviews[1]["grid"], Value::Null);
    assert!(ran.err.contains("tapped: no taps of free"), "{}", ran.err);
    // A damaged file is reported, and the other take is reviewed.
    std::fs::write(desk.path("tapped/two.mid"), b"MThd").unwrap();
    let ran = desk.run(&["review", "free", "--taps", "tapped", "--json"]);
    assert_eq!((ran.code, ran.out.lines().count()), (Some(2), 1), "{ran:?}");
    assert!(ran.err.contains("two.mid: file is truncated"), "{}", ran.err);
}

#[test]
fn takes_and_their_taps_can_share_a_folder() {
    let desk = desk();
    let sound = wav(&tones(&[(4.5, 60), (5.0, 62), (5.5, 64), (6.0, 65)], 0.0, 44_100), 44_100, 1);
    std::fs::create_dir(desk.path("room")).unwrap();
    for name in ["room/one.wav", "room/two.wav", "room/band.wav"] {
        std::fs::write(desk.path(name), &sound).unwrap();
    }
    for name in ["room/one.mid", "room/two.MID"] {
        std::fs::write(desk.path(name), taps((0..9).map(|beat| beat * QUARTER))).unwrap();
    }
    let ran = desk.run(&["review", "room", "--taps", "room", "--json"]);
    let reviews = json(&ran);
    let read: Vec<_> = reviews.iter().map(|of| of["file"].as_str().unwrap()).collect();
    let path = |name: &str| std::path::Path::new("room").join(name).display().to_string();
    assert_eq!(read, [path("one.wav"), path("two.wav")]);
    assert!(ran.err.contains("band.wav: left out: no taps"), "{}", ran.err);
}

#[test]
fn folder_errors_are_reported() {
    let desk = desk();
    std::fs::create_dir(desk.path("more")).unwrap();
    std::fs::write(desk.path("more/one.mid"), at_100(&[])).unwrap();
    std::fs::write(desk.path("taken"), b"a file").unwrap();
    for (arguments, expected) in [
        (&["free", "--anchors", "free"][..], "free: no anchors of these takes: for "),
        (&["free", "--anchors", "nowhere"], "nowhere: "),
        (&["free/one.mid", "more/one.mid", "--taps", "tapped"], "Give these takes different names"),
        (&["free", "--taps", "tapped", "--band", "band.wav"], "band.wav: beside the folder tapped"),
        (&["free", "--taps", "tapped", "--write-anchors", "taken"], "taken: this is a file"),
    ] {
        let ran = desk.run(&[&["review"], arguments].concat());
        assert_eq!(ran.code, Some(2), "{arguments:?}: {ran:?}");
        assert!(ran.err.contains(expected), "{arguments:?}: {}", ran.err);
    }
}
