//! Takes without a click whose beats are tracked in the band's track.

use crate::support::{Desk, Ran, taps, wav};
use overbar_testkit::band::{Plays, band, beats};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use overbar_testkit::tones::{Tone, Wave, sound, tone};
use serde_json::Value;

const RATE: u32 = 11_025;

/// Seconds to the first beat, and length of a beat.
const ONE: f64 = 1.8;
const PERIOD: f64 = 0.45;

fn run(desk: &Desk, file: &str, options: &[&str]) -> Ran {
    desk.run(&[&["review", file, "--json"][..], options].concat())
}

fn review(desk: &Desk, file: &str, options: &[&str]) -> Value {
    let ran = run(desk, file, options);
    assert_eq!(ran.code, Some(0), "{file}: {ran:?}");
    serde_json::from_str(&ran.out).unwrap()
}

/// Bar and class of each start.
fn starts(review: &Value) -> Vec<(i64, String)> {
    let start = |phrase: &Value| {
        let entry = &phrase["entry"];
        (entry["bar"].as_i64().unwrap(), entry["class"].as_str().unwrap().to_owned())
    };
    review["phrases"].as_array().unwrap().iter().map(start).collect()
}

/// A solo on the given beats: nine eighths from the "and" of one, in every second bar.
fn solo(beats: &[f64]) -> Vec<u8> {
    // At 120 BPM, which is unrelated to the playing.
    let tick = |place: f64| {
        let (number, share) = (place.floor() as usize, place.fract());
        let second = beats[number] + share * (beats[number + 1] - beats[number]);
        (second * 2.0 * QUARTER as f64) as u64
    };
    let mut track = Track::default().tempo(0, 500_000);
    for bar in (0..beats.len() / 4 - 2).step_by(2) {
        for note in 0..9_u8 {
            let at = bar as f64 * 4.0 + 0.5 + f64::from(note) * 0.5;
            track = track.note(0, 60 + note, tick(at), tick(at + 0.4));
        }
    }
    midi_file(0, &[track])
}

/// A rehearsal without a click: the tempo drifts, and the soloist is alone for four bars. Then a stop, after
/// which the count is in doubt until an anchor settles it.
#[test]
fn a_rehearsal_is_tracked_and_corrected_by_one_anchor() {
    let desk = Desk::new();
    let mut truth = beats(ONE, PERIOD, 1.000_3, 129);
    let plays = |beat| if (48..64).contains(&beat) { Plays::Rest } else { Plays::Time };
    std::fs::write(desk.path("duo.wav"), wav(&band(&truth, RATE, plays), RATE, 1)).unwrap();
    std::fs::write(desk.path("duo.mid"), solo(&truth)).unwrap();
    let counted = ["--band", "duo.wav", "--band-start", "133.3@1.8"];
    let heard = review(&desk, "duo.mid", &[&counted[..], &["--write-anchors", "b.json"]].concat());
    let expected: Vec<_> = (0..15).map(|phrase| (2 * phrase + 1, "and".to_owned())).collect();
    assert_eq!(starts(&heard), expected);
    assert_eq!(heard["grid"]["source"], "band");
    assert_eq!(heard["grid"]["bridges"].as_array().map(Vec::len), Some(1), "{}", heard["grid"]);
    // The saved anchors give the same grid, and taps count in as well as a tempo does.
    assert_eq!(starts(&review(&desk, "duo.mid", &["--anchors", "b.json"])), expected);
    let tap = |beat: i32| ((ONE + f64::from(beat - 4) * PERIOD) * 2.0 * QUARTER as f64) as u64;
    std::fs::write(desk.path("four.mid"), taps((0..4).map(tap))).unwrap();
    let tapped = review(&desk, "duo.mid", &["--band", "duo.wav", "--taps", "four.mid"]);
    assert_eq!(starts(&tapped), expected);
    // After a stop of ten bars the band comes back half a bar late: the count is in doubt.
    truth.iter_mut().skip(80).for_each(|at| *at += 2.0 * PERIOD);
    let stops = |beat| if (40..80).contains(&beat) { Plays::Rest } else { Plays::Time };
    std::fs::write(desk.path("stop.wav"), wav(&band(&truth, RATE, stops), RATE, 1)).unwrap();
    let stopped = ["--band", "stop.wav", "--band-start", "133.3@1.8"];
    let doubted = review(&desk, "duo.mid", &stopped);
    assert_eq!(doubted["grid"]["count_in_doubt"], true, "{}", doubted["grid"]);
    let output = desk.run(&[&["review", "duo.mid"][..], &stopped].concat()).out;
    assert!(output.contains("number of beats in doubt: bars "), "{output}");
    // One anchor settles it.
    let anchors = format!(
        r#"{{"format":1,"metre":"4/4","anchors":[{{"second":{},"bar":1,"beat":1}},
            {{"second":{},"bar":21,"beat":1}}]}}"#,
        truth[0], truth[80]
    );
    std::fs::write(desk.path("one.json"), anchors).unwrap();
    std::fs::write(desk.path("stop.mid"), solo(&truth)).unwrap();
    let right = [&stopped[..], &["--anchors", "one.json"]].concat();
    let right = review(&desk, "stop.mid", &right);
    let after = |review: &Value| starts(review).into_iter().filter(|start| start.0 > 20).collect();
    let expected: Vec<_> = expected.into_iter().filter(|start| start.0 > 20).collect();
    let after: Vec<_> = after(&right);
    assert_eq!(after, expected, "{}", right["grid"]);
    assert_eq!(right["grid"]["count_in_doubt"], false);
}

/// The band in the soloist's microphone fills the rests; its own track removes it.
#[test]
fn the_band_in_the_microphone_is_removed() {
    let desk = Desk::new();
    let truth = beats(ONE, PERIOD, 1.0, 48);
    let at = |beat: f64| ONE + beat * PERIOD;
    let low = |beat: u8| tone(at(beat.into()), at(f64::from(beat) + 0.9), f64::from(48 + beat % 7));
    let bass = sound(&(0..47).map(low).collect::<Vec<_>>(), Wave::Saw, at(48.0) + 1.0, RATE);
    let mut track = band(&truth, RATE, |_| Plays::Time);
    track.iter_mut().zip(&bass).for_each(|(to, from)| *to = 0.5 * *to + from);
    let high = |eighth: f64| tone(at(eighth), at(eighth + 0.45), 70.0 + eighth % 4.0 * 2.0);
    let phrase = |bar: u8| (0..9).map(move |note| f64::from(bar) * 4.0 + f64::from(note) * 0.5);
    let solo: Vec<Tone> = (0..11).step_by(2).flat_map(phrase).map(high).collect();
    let mut mic = sound(&solo, Wave::Saw, at(48.0) + 1.0, RATE);
    mic.iter_mut().skip(60).zip(&track).for_each(|(to, from)| *to += 0.1 * from);
    std::fs::write(desk.path("mic.wav"), wav(&mic, RATE, 1)).unwrap();
    std::fs::write(desk.path("band.wav"), wav(&track, RATE, 1)).unwrap();
    let count_in = ["--band", "band.wav", "--band-start", "133.3333@1.8"];
    let beside =
        review(&desk, "mic.wav", &[&count_in[..], &["--write-anchors", "b.json"]].concat());
    let without = review(&desk, "mic.wav", &["--anchors", "b.json"]);
    let notes = |review: &Value| review["recording"]["heard_notes"].as_array().unwrap().len();
    let (many, few) = (notes(&without), notes(&beside));
    assert!(few < many && few.abs_diff(solo.len()) <= 3, "{few} and {many} of {}", solo.len());
    // The take cannot be its own band.
    let same = review(&desk, "mic.wav", &["--band", "mic.wav", "--anchors", "b.json"]);
    assert_eq!(notes(&same), many);
}

#[test]
fn band_errors_are_reported() {
    let desk = Desk::new();
    std::fs::write(desk.path("silent.wav"), wav(&[0.0; 8_000 * 20], 8_000, 1)).unwrap();
    let short = band(&beats(0.0, 0.5, 1.0, 4), 8_000, |_| Plays::Time);
    std::fs::write(desk.path("short.wav"), wav(&short, 8_000, 2)).unwrap();
    for (options, expected) in [
        (
            &["--band", "silent.wav", "--band-start", "120@2"][..],
            "silent.wav: no beats: it is silent",
        ),
        (&["--band", "short.wav", "--band-start", "120@9"], "but the band ends at 2.5 s"),
        (&["--band", "band.wav"], "give --band-start 132@4.5"),
        (&["--band", "none.wav", "--band-start", "120@2"], "none.wav: "),
        (&["--band", "solo.mid", "--band-start", "120@2"], "solo.mid: "),
        (&["--band", "band.wav", "--band-start", "120"], "not 20 to 400 beats a minute"),
        (&["--band", "band.wav", "--band-start", "900@1"], "not 20 to 400 beats a minute"),
        (&["--band", "band.wav", "--band-start", "nan@1"], "not 20 to 400 beats a minute"),
        (&["--band", "band.wav", "--band-start", "120@-1"], "not 20 to 400 beats a minute"),
        (&["--band-start", "120@2"], "--band"),
        (
            &["--band", "band.wav", "--taps", "foot.mid", "--band-start", "120@2"],
            "cannot be used with",
        ),
        (&["--band", "band.wav", "--bpm", "120"], "cannot be used with"),
        (&["solo.mid", "--band", "band.wav", "--band-start", "120@2"], "are of one take"),
    ] {
        let ran = run(&desk, "rehearsal.mid", options);
        assert_eq!(ran.code, Some(2), "{options:?}: {ran:?}");
        assert!(ran.err.contains(expected), "{options:?}: {}", ran.err);
    }
}
