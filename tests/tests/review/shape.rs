//! The report's form, which other programs read: fields, types and values of a small solo.

use crate::support::command::{call, folder};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use serde_json::{Value, json};

/// At 120 in 4/4: four eighths from the "and" of 2; a quarter on beat one of bar 3; two
/// sixteenths from beat three of bar 5.
fn solo() -> Vec<u8> {
    let mut solo = Track::default();
    for (from, to, key) in [
        (3 * QUARTER / 2, 2 * QUARTER, 60),
        (2 * QUARTER, 5 * QUARTER / 2, 62),
        (5 * QUARTER / 2, 3 * QUARTER, 64),
        (3 * QUARTER, 7 * QUARTER / 2, 65),
        (8 * QUARTER, 9 * QUARTER, 67),
        (18 * QUARTER, 18 * QUARTER + QUARTER / 4, 69),
        (18 * QUARTER + QUARTER / 4, 18 * QUARTER + QUARTER / 2, 71),
    ] {
        solo = solo.note(0, key, from, to);
    }
    midi_file(1, &[solo])
}

/// Takes the numbers of the place model out, which are its own; they lie from 0 to 1.
fn take_confidences(report: &mut Value) {
    for phrase in report["phrases"].as_array_mut().unwrap() {
        for place in ["entry", "exit"] {
            let taken = phrase[place].as_object_mut().unwrap().remove("confidence").unwrap();
            assert!((0.0..=1.0).contains(&taken.as_f64().unwrap()), "{taken}");
        }
    }
}

#[test]
fn a_small_solo_by_hand() {
    let path = folder("shape").join("solo.mid");
    std::fs::write(&path, solo()).unwrap();
    let path = path.to_str().unwrap();
    let ran = call("overbar", &["review", path, "--json"]);
    assert_eq!((ran.code, ran.err.as_str(), ran.out.lines().count()), (Some(0), "", 1));
    let mut report: Value = serde_json::from_str(&ran.out).unwrap();
    take_confidences(&mut report);

    assert_eq!(report["file"], path);
    assert_eq!((&report["track"], &report["channel"]), (&json!(1), &json!(1)));
    assert_eq!(report["notes"], 7);
    assert_eq!(
        report["phrases"],
        json!([
            {
                "first_note": 0, "last_note": 3, "notes": 4, "ornaments": 0,
                "entry": {"bar": 1, "beat": 2.5, "class": "and"},
                "exit": {"bar": 1, "beat": 4.0, "class": "beat"},
                "beats": 2.0, "bars": 0.5, "seconds": 1.0,
                "subdivision": "eighth", "eighth_run": 4,
                "rest_before_beats": null, "rest_before_seconds": null,
                "feel": {
                    "on_beat_notes": 2, "on_beat_lag_ms": 0.0,
                    "off_beat_notes": 2, "off_beat_lag_ms": 0.0,
                    "swing_pairs": 1, "swing_ratio": 1.0, "syncopation": 0.0,
                    "entry_held_over": false, "exit_held_over": false
                }
            },
            {
                "first_note": 4, "last_note": 4, "notes": 1, "ornaments": 0,
                "entry": {"bar": 3, "beat": 1.0, "class": "one"},
                "exit": {"bar": 3, "beat": 1.0, "class": "one"},
                "beats": 1.0, "bars": 0.25, "seconds": 0.5,
                "subdivision": "mixed", "eighth_run": 0,
                "rest_before_beats": 4.5, "rest_before_seconds": 2.25,
                "feel": {
                    "on_beat_notes": 1, "on_beat_lag_ms": 0.0,
                    "off_beat_notes": 0, "off_beat_lag_ms": null,
                    "swing_pairs": 0, "swing_ratio": null, "syncopation": 0.0,
                    "entry_held_over": false, "exit_held_over": false
                }
            },
            {
                "first_note": 5, "last_note": 6, "notes": 2, "ornaments": 0,
                "entry": {"bar": 5, "beat": 3.0, "class": "beat"},
                "exit": {"bar": 5, "beat": 3.25, "class": "sixteenth"},
                "beats": 0.5, "bars": 0.125, "seconds": 0.25,
                "subdivision": "sixteenth", "eighth_run": 0,
                "rest_before_beats": 9.0, "rest_before_seconds": 4.5,
                "feel": {
                    "on_beat_notes": 1, "on_beat_lag_ms": 0.0,
                    "off_beat_notes": 0, "off_beat_lag_ms": null,
                    "swing_pairs": 0, "swing_ratio": null, "syncopation": 0.0,
                    "entry_held_over": false, "exit_held_over": false
                }
            }
        ])
    );

    let figures = &report["figures"];
    assert_eq!(figures["phrases"], 3);
    for (name, count, of) in [
        ("off_beat_entries", 1, 3),
        ("beat_one_entries", 1, 3),
        ("off_beat_exits", 1, 3),
        ("over_the_bar", 0, 3),
    ] {
        let share = &figures[name];
        assert_eq!((&share["count"], &share["of"]), (&json!(count), &json!(of)), "{name}");
        assert_eq!(share["share"], f64::from(count) / f64::from(of), "{name}");
        let [low, high] = ["low", "high"].map(|end| share[end].as_f64().unwrap());
        assert!(low <= share["share"].as_f64().unwrap() && low >= 0.0, "{name}");
        assert!(high >= share["share"].as_f64().unwrap() && high <= 1.0, "{name}");
    }
    assert_eq!(
        figures["entries"],
        json!([
            {"pulse": 1, "class": "one", "count": 1},
            {"pulse": 2, "class": "and", "count": 1},
            {"pulse": 3, "class": "beat", "count": 1}
        ])
    );
    assert_eq!(
        figures["lengths"]["seconds"],
        json!({"lower": 0.375, "median": 0.5, "upper": 0.75, "longest": 1.0})
    );
    assert_eq!(figures["lengths"]["notes"]["longest"], 4.0);
    // 6.75 s of rest in the 8.5 s from the first attack to the last end.
    assert!((figures["rest_share"].as_f64().unwrap() - 6.75 / 8.5).abs() < 1e-9);
    for (name, value) in [
        ("beat_one_streak", json!(0)),
        ("longest_beat_one_streak", json!(1)),
        ("short_streak", json!(3)),
        ("few_phrases", json!(true)),
    ] {
        assert_eq!(figures[name], value, "{name}");
    }
    // From beat 2.5 of bar 1 to beat 3.25 of bar 5.
    assert_eq!(figures["bars_since_long_line"], 4.1875);
    let feel = &figures["feel"];
    let nought = 0.0;
    let sample = json!({"count": 4, "mean": nought, "sd": nought, "low": null, "high": null,
        "sd_low": null, "sd_high": null});
    assert_eq!(feel["lag"]["on_beat_ms"], sample);
    assert_eq!(feel["lag"]["off_beat_ms"]["count"], 2);
    // The pair on beat 3 of bar 1; the note on beat 4 is by itself.
    assert_eq!(feel["lag"]["eighths_on_beat_ms"]["count"], 1);
    assert_eq!(feel["lag"]["eighths_off_beat_ms"]["sd"], json!(null));
    assert_eq!(feel["swing"]["log2_ratio"]["count"], 1);
    assert_eq!(feel["swing"]["median_log2_ratio"], 0.0);
    assert_eq!(
        (&feel["syncopation"]["count"], &feel["syncopation"]["mean"]),
        (&json!(3), &json!(0.0))
    );
    // The "and" of 2 and of 3 are half a beat away, the second sixteenth a quarter.
    assert_eq!(feel["beat_distance"]["count"], 7);
    assert!((feel["beat_distance"]["mean"].as_f64().unwrap() - 8.0 / 7.0).abs() < 1e-9);
    assert_eq!(feel["entries_held_over"]["of"], 3);
    assert_eq!(feel["exits_held_over"]["count"], 0);
    assert_eq!(report["alerts"], json!([]));
    let oddities = report["oddities"].as_object().unwrap();
    assert_eq!(oddities.len(), 10);
    assert!(oddities.values().all(|count| *count == 0), "{oddities:?}");
}

#[test]
fn an_alert_says_what_was_heard_and_when_it_stood() {
    let mut solo = Track::default();
    // Four phrases of five quarters on beat one, and one of two on beat two.
    for (bar, beat, notes) in [(0, 0, 5), (2, 0, 5), (4, 0, 5), (6, 0, 5), (9, 1, 2)] {
        for note in 0..notes {
            let from = bar * 1920 + (beat + note) * QUARTER;
            solo = solo.note(0, 60, from, from + QUARTER);
        }
    }
    let path = folder("alert").join("ones.mid");
    std::fs::write(&path, midi_file(1, &[solo])).unwrap();
    let ran = call("overbar", &["review", path.to_str().unwrap(), "--json"]);
    let report: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(
        report["alerts"],
        json!([{
            "kind": "beat_one_streak", "phrases": 4,
            "from_phrase": 2, "to_phrase": 3, "bar": 5, "stands": false,
            "heard": "4 phrases in a row started on beat one."
        }])
    );
    let text = call("overbar", &["review", path.to_str().unwrap()]);
    assert!(text.out.contains("from bar 5: 4 phrases in a row started on beat one."), "{text:?}");
}

#[test]
fn in_words() {
    let path = folder("words").join("solo.mid");
    let path = path.to_str().unwrap();
    std::fs::write(path, solo()).unwrap();
    let expected = format!(
        "{path}\n  7 notes, 3 phrases\n\
         \x20 off-beat starts: 33 % (1 of 3; 95 % CI 6\u{2013}79 %)\n\
         \x20 starts on beat one: 33 % (1 of 3; 95 % CI 6\u{2013}79 %)\n\
         \x20 off-beat endings: 33 % (1 of 3; 95 % CI 6\u{2013}79 %)\n\
         \x20 phrases whose first note ties over the bar line: 0 % (0 of 3; 95 % CI 0\u{2013}56 %)\n\
         \x20 phrases whose last note ties over the bar line: 0 % (0 of 3; 95 % CI 0\u{2013}56 %)\n\
         \x20 small sample: treat percentages with care\n\
         \x20 typical length: 0.2 bars (middle 50 % 0.2\u{2013}0.4; longest 0.5)\n\
         \x20 space: 79 % of the time at rest\n\
         \x20 on the beat: 0 ms behind the beat (4 notes)\n\
         \x20 timing spread on the beat: ±0 ms\n\
         \x20 upbeats: 0 ms behind a straight \"and\" (2 notes)\n\
         \x20 timing spread on upbeats: ±0 ms\n\
         \x20 swing ratio: 1.00 to 1 (1 pair)\n\
         \x20 syncopation per bar: 0.0 (3 bars)\n"
    );
    assert_eq!(call("overbar", &["review", path]).out, expected);

    std::fs::write(path, midi_file(1, &[Track::default().note(0, 60, 0, QUARTER)])).unwrap();
    assert!(call("overbar", &["review", path]).out.contains("\n  1 note, 1 phrase\n"));
}
