//! The results of each command, and the input it refuses.

use crate::support::Desk;
use serde_json::Value;

fn json(desk: &Desk, arguments: &[&str]) -> Value {
    let ran = desk.run(&[arguments, &["--json"]].concat());
    assert!(ran.code.is_some_and(|code| code < 2), "{arguments:?}: {ran:?}");
    serde_json::from_str(ran.out.lines().next().unwrap_or_default()).unwrap()
}

/// Quarters at 120 a minute, 12 ticks of 480 late: 12.5 ms.
#[test]
fn calibrate_finds_the_latency() {
    let desk = Desk::new();
    let found = json(&desk, &["calibrate", "taps.mid"]);
    assert!((found["latency_ms"].as_f64().unwrap() - 12.5).abs() < 0.01, "{found}");
    assert_eq!(found["taps"], 14);
    let ran = desk.run(&["calibrate", "taps.mid"]);
    assert!(
        ran.out.starts_with("input latency: 12 ms (14 taps; 95 % CI 12 to 13 ms)\n"),
        "{ran:?}"
    );
    let ran = desk.run(&["calibrate", "solo.mid"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(1), ""), "{ran:?}");
}

#[test]
fn a_drill_is_scored_and_says_whether_it_was_passed() {
    let desk = Desk::new();
    let asked = ["drill", "take.mid", "--drill", "line quarter", "--form", "4"];
    let ran = desk.run(&asked);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert!(ran.out.contains("100 % (16 of 16)"), "{ran:?}");
    let report = json(&desk, &asked);
    assert_eq!(report["whole"][0]["places"]["count"], 16);
    assert_eq!(report["passed"], true);
    let own = json(&desk, &["drill", "take.mid", "--drill", "my-drill.toml"]);
    assert_eq!(own["drill"], "Mine");
    let missed = desk.run(&["drill", "take.mid", "--drill", "line eighth", "--form", "4"]);
    assert_eq!((missed.code, missed.err.as_str()), (Some(1), ""), "{missed:?}");
}

#[test]
fn the_best_comp_is_written() {
    let desk = Desk::new();
    let asked =
        ["comp", "take1.mid", "take2.mid", "take3.mid", "--form", "16", "--out", "comp.mid"];
    let comp = json(&desk, &asked);
    assert_eq!(comp["takes"].as_array().unwrap().len(), 3);
    let bars = comp["cues"]
        .as_array()
        .unwrap()
        .iter()
        .map(|cue| cue["last_bar"].as_i64().unwrap() - cue["first_bar"].as_i64().unwrap() + 1);
    assert_eq!(bars.sum::<i64>() % 4, 0);
    assert_eq!(desk.run(&["review", "comp.mid"]).code, Some(0));
}

#[test]
fn a_folder_with_one_bad_file_still_gives_the_others() {
    let desk = Desk::new();
    std::fs::write(desk.path("solos/bad.mid"), "no music").unwrap();
    for arguments in [
        &["review", "solos", "--json"][..],
        &["advice", "solos", "--json"],
        &["export", "solos", "--out", "out", "--json"],
    ] {
        let ran = desk.run(arguments);
        assert_eq!(ran.code, Some(2), "{ran:?}");
        assert_eq!(ran.out.lines().count(), 2, "{ran:?}");
        let expected = "bad.mid: not a Standard MIDI File\n";
        assert!(ran.err.starts_with("error: solos") && ran.err.ends_with(expected), "{ran:?}");
    }
}

#[test]
fn bad_input_is_always_refused() {
    let desk = Desk::new();
    let drill = |asked| ["drill", "take.mid", "--drill", asked, "--form", "4"];
    for (arguments, expected) in [
        (&drill("entry 9&")[..], "no position 9& in take: its bars have 4 beats"),
        (&drill("entry 4x"), "--drill: "),
        (&drill("slowly"), "--drill: "),
        (
            &["drill", "take.mid", "--drill", "line quarter", "--form", "400"],
            "take: only 129 bars, but --form 400",
        ),
        (&["comp", "take1.mid", "take2.mid", "--form", "64"], "take1: only "),
        (&["review", "solo.mid", "--form", "64", "--report", "page.html"], "solo: only "),
        (&["export", "solo.mid", "--form", "64", "--out", "out"], "solo: only "),
        (&["comp", "take1.mid", "take2.mid"], "comp needs --form BARS"),
        (&["review", "solo.mid", "--style", "best"], "invalid value 'best'"),
        (
            &["review", "solo.mid", "--form", "4", "--chords", "| C7 | F7 |"],
            "--chords: 2 bars of chords, but --form 4",
        ),
        (&["review", "solo.mid", "--form", "12", "--sections", "A8"], "--sections: "),
        (&["review", "solo.mid", "--sections", "A8"], "--form <BARS>"),
        (&["review", "solo.mid", "--first-bar", "3"], "--first-bar needs --form BARS"),
        (&["review", "solo.mid", "--track", "0"], "0 is not in 1..=65535"),
        (&["review", "solo.mid", "--channel", "17"], "17 is not in 1..=16"),
        (&["review", "solos", "--split", "3.1"], "corrections are of one file"),
        (
            &["comp", "take1.mid", "take2.mid", "--form", "16", "--aim", "best"],
            "invalid value 'best'",
        ),
        (
            &["comp", "take1.mid", "take2.mid", "--form", "16", "--by", "0"],
            "choose chorus, section",
        ),
        (
            &["export", "solo.mid", "--musicxml", "one.musicxml", "--phrase", "99"],
            "solo.mid: there is no phrase 99, only 16 phrases",
        ),
        (&["compare", "solo.mid"], "needs 2 to 8 takes, not 1"),
        (&["chords", "solo.mid"], "--chart <FILE>"),
        (&["chords", "solo.mid", "--chart", "class/index.csv"], "class/index.csv: "),
        (&["progress", "solos"], "index.csv: "),
        (&["progress", "class", "--on", "yesterday"], "not a date like 2026-03-04"),
    ] {
        let ran = desk.run(arguments);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{arguments:?}: {ran:?}");
        assert!(
            ran.err.starts_with("error: ") && ran.err.contains(expected),
            "{arguments:?}: {ran:?}"
        );
    }
}
