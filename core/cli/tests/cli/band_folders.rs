//! Several takes without a click, each with its own band track from a folder.

use crate::support::{Desk, Ran, taps, wav};
use overbar_testkit::band::{Plays, band, beats};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use overbar_testkit::tones::{Wave, sound, tone};
use serde_json::Value;

const RATE: u32 = 11_025;
/// Seconds of a beat.
const PERIOD: f64 = 0.45;
const BEATS: usize = 80;
/// Beat one and the tempo of each band, as a user gives them.
const START: [&str; 2] = ["--band-start", "133.3@1.8"];

/// When beat one of each take's band is; the second is not at the given start.
const ONES: [(&str, f64); 2] = [("one", 1.8), ("two", 3.15)];

/// Ticks of a moment in a file at 120 BPM, which is unrelated to the playing.
fn ticks(second: f64) -> u64 {
    (second * 2.0 * QUARTER as f64) as u64
}

/// Nine eighths from the "and" of one, in every second bar.
fn solo(one: f64) -> Vec<u8> {
    let mut track = Track::default().tempo(0, 500_000);
    for bar in (0..BEATS / 4 - 2).step_by(2) {
        for note in 0..9_u8 {
            let at = one + (bar as f64 * 4.0 + 0.5 + f64::from(note) * 0.5) * PERIOD;
            track = track.note(0, 60 + note, ticks(at), ticks(at + 0.4 * PERIOD));
        }
    }
    midi_file(0, &[track])
}

/// Two takes, their bands, and four taps that count in each.
fn desk() -> Desk {
    let desk = Desk::new();
    for folder in ["free", "tracks", "counts"] {
        std::fs::create_dir(desk.path(folder)).unwrap();
    }
    for (take, one) in ONES {
        let track = band(&beats(one, PERIOD, 1.0, BEATS), RATE, |_| Plays::Time);
        let four = (0..4).map(|tap| ticks(one + f64::from(tap - 4) * PERIOD));
        std::fs::write(desk.path(&format!("free/{take}.mid")), solo(one)).unwrap();
        std::fs::write(desk.path(&format!("tracks/{take}.wav")), wav(&track, RATE, 1)).unwrap();
        std::fs::write(desk.path(&format!("counts/{take}.mid")), taps(four)).unwrap();
    }
    desk
}

fn json(ran: &Ran) -> Vec<Value> {
    assert_eq!(ran.code, Some(0), "{ran:?}");
    ran.out.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

/// The number of phrases, and whether each starts on the "and" of one in an odd bar.
fn starts(review: &Value) -> (usize, bool) {
    let each = review["phrases"].as_array().unwrap();
    let is_there = |phrase: &Value| {
        let (bar, beat) = (&phrase["entry"]["bar"], &phrase["entry"]["beat"]);
        bar.as_i64().unwrap() % 2 == 1 && (beat.as_f64().unwrap() - 1.5).abs() < 0.1
    };
    (each.len(), each.iter().all(is_there))
}

#[test]
fn each_take_of_a_folder_uses_its_own_band() {
    let desk = desk();
    // The bands start at different times: four taps count in each.
    let beside = ["--band", "tracks", "--taps", "counts"];
    let kept = ["--write-anchors", "grids2"];
    let ran = desk.run(&[&["review", "free", "--json"][..], &beside, &kept].concat());
    for review in json(&ran) {
        assert_eq!(review["grid"]["source"], "band", "{}", review["grid"]);
        assert_eq!(starts(&review), (9, true), "{}", review["phrases"]);
    }
    // So do anchors: the saved beats.
    let anchored = ["--band", "tracks", "--anchors", "grids2"];
    for review in json(&desk.run(&[&["review", "free", "--json"][..], &anchored].concat())) {
        assert_eq!(starts(&review), (9, true));
    }
    let run = |command: &[&str]| desk.run(&[command, &beside].concat());
    let compared = &json(&run(&["compare", "free", "--json"]))[0];
    for take in compared["takes"].as_array().unwrap() {
        assert_eq!(take["grid"]["source"], "band");
        assert_eq!(take["figures"]["off_beat_entries"]["share"], 1.0, "{take}");
    }
    let comp = &json(&run(&["comp", "free", "--form", "8", "--json"]))[0];
    assert_eq!(comp["grids"][1]["source"], "band", "{comp}");
    assert_eq!(json(&run(&["advice", "free", "--json"])).len(), 2);
    let ran = run(&["export", "free", "--out", "out"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    let table = std::fs::read_to_string(desk.path("out/two.phrases.csv")).unwrap();
    assert!(table.lines().nth(1).unwrap().contains(",band,"), "{table}");
    let index = "student,date,tune,file\nAda,2026-03-02,Low Tide,one.mid\nAda,2026-03-03,Low Tide,two.mid\n";
    std::fs::write(desk.path("free/index.csv"), index).unwrap();
    let progress = json(&run(&["progress", "free", "--json"]));
    let figures = progress[0]["progress"]["figures"].as_array().unwrap();
    let on_one = figures.iter().find(|of| of["measure"] == "beat_one_entries").unwrap();
    assert_eq!(on_one["days"][1]["value"], 0.0, "{on_one}");
    for command in [
        &["chords", "free/two.mid", "--chart", "tune.txt"][..],
        &["drill", "free/two.mid", "--drill", "entry 1&", "--form", "2"],
        &["calibrate", "free/two.mid"],
    ] {
        let ran = run(command);
        assert!(matches!(ran.code, Some(0 | 1)), "{command:?}: {ran:?}");
    }
}

/// A single start for all bands is right for the band that starts there.
#[test]
fn one_start_applies_to_all_bands() {
    let desk = desk();
    let ran = desk.run(&[&["review", "free", "--band", "tracks", "--json"][..], &START].concat());
    let reviews = json(&ran);
    assert_eq!(starts(&reviews[0]), (9, true));
    assert_eq!(starts(&reviews[1]), (9, false));
}

/// The bleed in each soloist's microphone is removed with the band's own track.
#[test]
fn each_bands_bleed_is_removed_from_its_take() {
    let desk = desk();
    std::fs::create_dir(desk.path("room")).unwrap();
    let at = |beat: f64| ONES[0].1 + beat * PERIOD;
    for (take, high) in [("one", 70.0), ("two", 75.0)] {
        let low = |beat: u8| {
            let key = f64::from(48 + beat % 7) + high - 70.0;
            tone(at(beat.into()), at(f64::from(beat) + 0.9), key)
        };
        let bass = sound(&(0..39).map(low).collect::<Vec<_>>(), Wave::Saw, at(40.0), RATE);
        let mut track = band(&beats(ONES[0].1, PERIOD, 1.0, 40), RATE, |_| Plays::Time);
        track.iter_mut().zip(&bass).for_each(|(to, from)| *to = 0.5 * *to + from);
        let note = |eighth: f64| tone(at(eighth), at(eighth + 0.45), high + eighth % 4.0 * 2.0);
        let phrase = |bar: u8| (0..9).map(move |n| f64::from(bar) * 4.0 + f64::from(n) * 0.5);
        let solo: Vec<_> = (0..9).step_by(2).flat_map(phrase).map(note).collect();
        let mut mic = sound(&solo, Wave::Saw, at(40.0), RATE);
        mic.iter_mut().skip(60).zip(&track).for_each(|(to, from)| *to += 0.1 * from);
        std::fs::write(desk.path(&format!("room/{take}.wav")), wav(&mic, RATE, 1)).unwrap();
        // In the takes' folder, so that only its name distinguishes it.
        std::fs::write(desk.path(&format!("room/{take}.band.WAV")), wav(&track, RATE, 1)).unwrap();
    }
    let beside = [&["--band", "room", "--write-anchors", "grids2"][..], &START].concat();
    let beside = json(&desk.run(&[&["review", "room", "--json"][..], &beside].concat()));
    let alone = ["review", "room/one.wav", "room/two.wav", "--json", "--anchors", "grids2"];
    let alone = json(&desk.run(&alone));
    assert_eq!((beside.len(), alone.len()), (2, 2));
    for (beside, alone) in beside.iter().zip(&alone) {
        let notes = |of: &Value| of["recording"]["heard_notes"].as_array().unwrap().len();
        let (few, many) = (notes(beside), notes(alone));
        assert!(few < many && few.abs_diff(45) <= 3, "{few} and {many} of 45");
    }
}

#[test]
fn a_take_without_its_band_or_count_in_is_reported() {
    let desk = desk();
    std::fs::remove_file(desk.path("tracks/two.wav")).unwrap();
    // Without a band it keeps its own beats, or uses its taps.
    let ran = desk.run(&[&["review", "free", "--band", "tracks", "--json"][..], &START].concat());
    assert_eq!(json(&ran)[1]["grid"], Value::Null);
    let two = std::path::Path::new("free").join("two.mid").display().to_string();
    let kept = format!("tracks: no band of {two}: the beats of the file are kept\n");
    assert_eq!(ran.err, kept);
    let all = (0..40).map(|tap| ticks(ONES[1].1 + f64::from(tap - 4) * PERIOD));
    std::fs::write(desk.path("counts/two.mid"), taps(all)).unwrap();
    let beside = ["review", "free", "--json", "--band", "tracks", "--taps", "counts"];
    let ran = desk.run(&beside);
    assert_eq!(json(&ran)[1]["grid"]["source"], "tap");
    assert_eq!(ran.err, format!("tracks: no band of {two}: beats from the taps alone\n"));
    // Anchors correct the given start; without anchors the band is used alone.
    std::fs::write(
        desk.path("grids/one.json"),
        std::fs::read(desk.path("rehearsal.json")).unwrap(),
    )
    .unwrap();
    std::fs::copy(desk.path("tracks/one.wav"), desk.path("tracks/two.wav")).unwrap();
    let right = ["review", "free", "--band", "tracks", "--anchors", "grids", "--json"];
    let ran = desk.run(&[&right[..], &START].concat());
    assert_eq!(json(&ran).len(), 2);
    assert_eq!(ran.err, format!("grids: no anchors of {two}: beats from the band alone\n"));
    // A band without a count-in is reported, and so is a damaged one. The other take is reviewed.
    std::fs::remove_file(desk.path("counts/two.mid")).unwrap();
    let is_reported = |ran: &Ran, what: &str| {
        assert_eq!((ran.code, ran.out.lines().count()), (Some(2), 1), "{ran:?}");
        assert!(ran.err.contains(&format!("two.wav: {what}")), "{}", ran.err);
    };
    is_reported(&desk.run(&beside), "a band is followed from a count-in on");
    std::fs::write(desk.path("tracks/two.wav"), b"RIFF\x04\0\0\0WAVE").unwrap();
    is_reported(
        &desk.run(&[&["review", "free", "--band", "tracks", "--json"][..], &START].concat()),
        "",
    );
}

#[test]
fn errors_in_band_folders_are_reported() {
    let desk = desk();
    std::fs::create_dir(desk.path("both")).unwrap();
    for name in ["both/one.wav", "both/one.mp3"] {
        std::fs::copy(desk.path("tracks/one.wav"), desk.path(name)).unwrap();
    }
    for (arguments, expected) in [
        (&["free", "--band", "tracks"][..], "give --band-start 132@4.5"),
        (&["free", "--band", "counts", "--band-start", "120@2"], "one.wav, or .flac, .aiff"),
        (&["free", "--band", "nowhere", "--taps", "counts"], "nowhere: No such file"),
        (&["free", "--band", "tracks", "--taps", "foot.mid"], "foot.mid: beside the folder tracks"),
        (&["free", "--band", "band.wav", "--taps", "counts"], "band.wav: beside the folder counts"),
        (&["free", "--band", "band.wav", "--band-start", "120@2"], "--band FOLDER"),
        (&["both", "--band", "both", "--band-start", "120@2"], "which is the take? Call its band"),
    ] {
        let ran = desk.run(&[&["review"], arguments].concat());
        assert_eq!(ran.code, Some(2), "{arguments:?}: {ran:?}");
        assert!(ran.err.contains(expected), "{arguments:?}: {}", ran.err);
    }
    // A band file is an input and is not overwritten.
    let kept = ["review", "free", "--band", "tracks", "--report", "tracks", "--force"];
    let before = std::fs::read(desk.path("tracks/one.wav")).unwrap();
    desk.run(&[&kept[..], &START].concat());
    assert_eq!(std::fs::read(desk.path("tracks/one.wav")).unwrap(), before);
}
