//! Takes without a click, on beats from taps, anchors and markers.

use crate::support::{Desk, taps};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use serde_json::Value;

/// The review of a file as JSON.
pub fn review(desk: &Desk, file: &str, options: &[&str]) -> Value {
    let ran = desk.run(&[&["review", file, "--json"][..], options].concat());
    assert_eq!(ran.code, Some(0), "{file}: {ran:?}");
    serde_json::from_str(&ran.out).unwrap()
}

/// Bar, beat to a hundredth, and class of each start.
pub fn starts(review: &Value) -> Vec<(i64, f64, String)> {
    let phrases = review["phrases"].as_array().unwrap();
    let start = |phrase: &Value| {
        let entry = &phrase["entry"];
        let beat = (entry["beat"].as_f64().unwrap() * 100.0).round() / 100.0;
        (entry["bar"].as_i64().unwrap(), beat, entry["class"].as_str().unwrap().to_owned())
    };
    phrases.iter().map(start).collect()
}

/// A file at 120 BPM of a solo at 100 BPM: each time is a fifth longer in the file's beats. Phrases of nine
/// eighths from the "and" of one, in every second bar after a bar of count-in.
pub fn at_100(markers: &[u64]) -> Vec<u8> {
    let beat = |beat: f64| (beat * 1.2 * QUARTER as f64) as u64;
    let mut track = Track::default().tempo(0, 500_000);
    for bar in (1..17).step_by(2) {
        for note in 0..9_u8 {
            let at = f64::from(bar) * 4.0 + 0.5 + f64::from(note) * 0.5;
            track = track.note(0, 60 + note, beat(at), beat(at + 0.4));
        }
    }
    for bar in markers {
        track = track.marker(beat(*bar as f64 * 4.0), "chorus");
    }
    midi_file(0, &[track])
}

#[test]
fn taps_anchors_and_markers_give_the_beats() {
    let desk = Desk::new();
    let beat = |beat: u64| (beat as f64 * 1.2 * QUARTER as f64) as u64;
    std::fs::write(desk.path("free.mid"), at_100(&[1, 9, 17])).unwrap();
    std::fs::write(desk.path("beats.mid"), taps((0..72).map(beat))).unwrap();
    std::fs::write(desk.path("ones.mid"), taps((0..4).chain((4..72).step_by(4)).map(beat)))
        .unwrap();
    // Bar 1 starts after the count-in.
    let expected: Vec<_> = (0..8).map(|phrase| (2 * phrase + 1, 1.5, "and".to_owned())).collect();
    assert_ne!(starts(&review(&desk, "free.mid", &[])), expected);
    let beats = review(&desk, "free.mid", &["--taps", "beats.mid", "--write-anchors", "a.json"]);
    assert_eq!(starts(&beats), expected);
    assert_eq!((&beats["grid"]["source"], &beats["grid"]["about"]), (&"tap".into(), &false.into()));
    let ones = review(&desk, "free.mid", &["--taps", "ones.mid"]);
    assert_eq!(starts(&ones), expected);
    assert_eq!(starts(&review(&desk, "free.mid", &["--anchors", "a.json"])), expected);
    // Eight bars between markers are bridged, and reported as such.
    let choruses = review(&desk, "free.mid", &["--chorus-markers", "8"]);
    assert_eq!(starts(&choruses), expected);
    assert_eq!(
        (&choruses["grid"]["source"], &choruses["grid"]["about"]),
        (&"hand".into(), &true.into())
    );
    let output = desk.run(&["review", "free.mid", "--chorus-markers", "8"]).out;
    assert!(output.contains("bars and positions are approximate"), "{output}");
    // Exported files have the tapped beats.
    let ran = desk.run(&["export", "free.mid", "--out", "out", "--taps", "beats.mid"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    let exported = starts(&review(&desk, "out/free.mid", &[]));
    assert_eq!(exported, expected);
}

#[test]
fn a_tapped_recording_needs_no_tempo() {
    let desk = Desk::new();
    // Bar 1 of the recording starts at half a second, and so does the count-in of the taps, which is their
    // bar 0.
    let tap = |beat: u64| QUARTER + beat * QUARTER;
    std::fs::write(desk.path("along.mid"), taps((0..16).map(tap))).unwrap();
    let by_tempo = review(&desk, "take.wav", &["--bpm", "120", "--first-beat", "0.5"]);
    let tapped = review(&desk, "take.wav", &["--taps", "along.mid", "--metre", "4/4"]);
    let bars = |review: &Value, later: i64| -> Vec<(i64, String)> {
        starts(review).into_iter().map(|(bar, _, class)| (bar + later, class)).collect()
    };
    assert_eq!(bars(&tapped, 1), bars(&by_tempo, 0));
}

#[test]
fn errors_are_reported() {
    let desk = Desk::new();
    std::fs::write(desk.path("three.mid"), taps((0..3).map(|beat| beat * QUARTER))).unwrap();
    let uneven = [0, 480, 1_900, 2_000, 3_700].into_iter();
    std::fs::write(desk.path("uneven.mid"), taps(uneven)).unwrap();
    std::fs::write(desk.path("twice.mid"), taps([0, 0, 480, 960].into_iter())).unwrap();
    std::fs::write(desk.path("late.mid"), taps((900..920).map(|beat| beat * QUARTER))).unwrap();
    let anchors = r#"{"format":1,"metre":"4/4","anchors":[
        {"second":3,"bar":1,"beat":1},{"second":2,"bar":2,"beat":1}]}"#;
    std::fs::write(desk.path("back.json"), anchors).unwrap();
    std::fs::write(desk.path("five.json"), anchors.replace("\"beat\":1", "\"beat\":5")).unwrap();
    for (options, expected) in [
        (&["--taps", "three.mid"][..], "three.mid: only 3 taps: four count in"),
        (&["--taps", "uneven.mid"], "uneven.mid: no count-in among the taps"),
        (&["--taps", "twice.mid"], "twice.mid: two taps at once, at 0.00 s"),
        (&["--taps", "late.mid"], "taps and take must start together"),
        (&["--anchors", "back.json"], "anchor 2: at 2.000 s, before anchor 1"),
        (&["--anchors", "five.json"], "anchor 1: beat 5, but a bar of 4/4 has beats 1 to 4"),
        (&["--anchors", "solo.mid"], "solo.mid: "),
        (&["--chorus-markers", "12"], "rehearsal.mid: no markers"),
        (&["--taps", "foot.mid", "--anchors", "rehearsal.json"], "cannot be used with"),
        (
            &["solo.mid", "--taps", "foot.mid"],
            "taps, anchors and bands are of one take: for several takes give a folder",
        ),
        (&["--taps", "foot.mid", "--write-anchors", "rehearsal.json"], "the file exists"),
    ] {
        let ran = desk.run(&[&["review", "rehearsal.mid"][..], options].concat());
        assert_eq!(ran.code, Some(2), "{options:?}: {ran:?}");
        assert!(ran.err.contains(expected), "{options:?}: {}", ran.err);
    }
}
