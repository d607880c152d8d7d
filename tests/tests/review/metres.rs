//! Bars and beats in every metre, through changes, with pick-ups and early notes.

use crate::review;
use overbar_core::output::review::ReviewedPlace;
use overbar_core::quantization::PositionClass::{self, And, Beat, One};
use overbar_testkit::midi::{QUARTER, Track, midi_file};

/// Metre, ticks in a bar and ticks in a felt beat: by definition of the metres.
const METRES: [((u8, u32), u64, u64); 11] = [
    ((4, 4), 1920, 480),
    ((3, 4), 1440, 480),
    ((2, 4), 960, 480),
    ((2, 2), 1920, 960),
    ((6, 8), 1440, 720),
    ((9, 8), 2160, 720),
    ((12, 8), 2880, 720),
    ((5, 4), 2400, 480),
    ((7, 4), 3360, 480),
    ((5, 8), 1200, 240),
    ((7, 8), 1680, 240),
];

/// 600,000 microseconds a quarter is 100 quarters a minute.
const TEMPO: u32 = 600_000;

fn assert_place(got: ReviewedPlace, (bar, beat, class): (i64, f64, PositionClass), what: &str) {
    assert_eq!((got.bar, got.beat, got.class), (bar, beat, class), "{what}");
    assert!((0.0..=1.0).contains(&got.confidence), "{what}: {got:?}");
}

/// Four phrases of three notes, a felt beat each: on beat one, on the second beat, half a beat
/// after beat one, and from the last beat over the bar line.
#[test]
fn an_invented_solo_in_every_metre() {
    for (metre, bar, beat) in METRES {
        let beats = bar / beat;
        let mut solo = Track::default().tempo(0, TEMPO).metre(0, metre);
        let starts = [0, 4 * bar + beat, 8 * bar + beat / 2, 13 * bar - beat];
        for start in starts {
            for (note, key) in [62, 65, 67].into_iter().enumerate() {
                let from = start + note as u64 * beat;
                solo = solo.note(0, key, from, from + beat);
            }
        }
        let got = review(&midi_file(1, &[solo]));
        let name = format!("{metre:?}");
        assert_eq!((got.notes, got.phrases.len()), (12, 4), "{name}");

        // Two beats further on: over the bar line where the bar has fewer than three.
        let on = |first_bar: i64, number: u64| {
            let (over, beat) = (number / beats, number % beats);
            let class = if beat == 0 { One } else { Beat };
            (first_bar + over as i64, 1.0 + beat as f64, class)
        };
        let (bar_of_half, beat_of_half, _) = on(9, 2);
        let expected = [
            ((1, 1.0, One), on(1, 2)),
            ((5, 2.0, Beat), on(5, 3)),
            ((9, 1.5, And), (bar_of_half, beat_of_half + 0.5, And)),
            (on(13, beats - 1), on(13, beats + 1)),
        ];
        for (phrase, (entry, exit)) in got.phrases.iter().zip(expected) {
            assert_place(phrase.entry, entry, &name);
            assert_place(phrase.exit, exit, &name);
            let quarters = 3.0 * beat as f64 / QUARTER as f64;
            let bars = 3.0 / beats as f64;
            assert!((phrase.beats - quarters).abs() < 0.000_6, "{name}: {phrase:?}");
            assert!((phrase.bars - bars).abs() < 0.000_6, "{name}: {phrase:?}");
            assert!((phrase.seconds - quarters * 0.6).abs() < 0.000_6, "{name}: {phrase:?}");
            assert_eq!(phrase.notes, 3, "{name}");
        }
    }
}

/// A note with two quick ones after it, too far up for grace notes, so that it begins a phrase: the
/// rests between lone notes would be no longer than the intervals they make.
fn phrase(solo: Track, from: u64) -> Track {
    solo.note(0, 64, from, from + 30).note(0, 69, from + 30, from + 60).note(
        0,
        74,
        from + 60,
        from + 90,
    )
}

/// Two bars each of 4/4, 7/8, 6/8, 5/4 and 2/2. Bar lines are at quarters 0, 4 | 8, 11.5 |
/// 15, 18 | 21, 26 | 31, 35.
#[test]
fn metres_that_change_at_bar_lines() {
    let ticks = |quarters: f64| (quarters * QUARTER as f64) as u64;
    let mut solo = Track::default().tempo(0, 1_000_000);
    for (quarter, metre) in
        [(0.0, (4, 4)), (8.0, (7, 8)), (15.0, (6, 8)), (21.0, (5, 4)), (31.0, (2, 2))]
    {
        solo = solo.metre(ticks(quarter), metre);
    }
    let expected = [
        (0.0, (1, 1.0, One)),
        (5.5, (2, 2.5, And)),
        (8.0, (3, 1.0, One)),
        (11.0, (3, 7.0, Beat)),
        (14.5, (4, 7.0, Beat)),
        (16.5, (5, 2.0, Beat)),
        (18.0, (6, 1.0, One)),
        (19.5, (6, 2.0, Beat)),
        (21.0, (7, 1.0, One)),
        (25.0, (7, 5.0, Beat)),
        (30.5, (8, 5.5, And)),
        (33.0, (9, 2.0, Beat)),
        (36.0, (10, 1.5, And)),
    ];
    for (quarter, _) in expected {
        solo = phrase(solo, ticks(quarter));
    }
    let got = review(&midi_file(1, &[solo]));
    assert_eq!(got.phrases.len(), expected.len());
    for (phrase, (quarter, place)) in got.phrases.iter().zip(expected) {
        assert_place(phrase.entry, place, &format!("quarter {quarter}"));
    }
}

/// One bar at 60, one at 120, one at 240: a phrase that holds a bar of each lasts 4 + 2 + 1 s.
#[test]
fn a_phrase_through_changes_of_tempo() {
    let mut solo = Track::default().tempo(0, 1_000_000).tempo(1920, 500_000).tempo(3840, 250_000);
    for beat in 0..12 {
        solo = solo.note(0, 60, beat * QUARTER, (beat + 1) * QUARTER);
    }
    let got = review(&midi_file(1, &[solo]));
    assert_eq!(got.phrases.len(), 1);
    let phrase = got.phrases[0];
    assert_eq!((phrase.beats, phrase.bars, phrase.seconds), (12.0, 3.0, 7.0));
    assert_place(phrase.exit, (3, 4.0, Beat), "the last quarter");
}

/// A pick-up lies in the bar before; a note 20 ms ahead of a bar line belongs to that line, in
/// the metre that begins there, and one 30 ms behind it too.
#[test]
fn pick_ups_and_notes_about_the_bar_line() {
    let early = 1920 * 4 - 16;
    let late = 1920 * 4 + 3 * 1440 + 24;
    let solo = Track::default().tempo(0, TEMPO).metre(1920 * 4, (3, 4));
    let solo = [1680, early, late].into_iter().fold(solo, phrase);
    let got = review(&midi_file(1, &[solo]));
    assert_eq!(got.phrases.len(), 3, "{got:?}");
    assert_place(got.phrases[0].entry, (1, 4.5, And), "pick-up");
    assert_place(got.phrases[1].entry, (5, 1.0, One), "20 ms early");
    assert_place(got.phrases[2].entry, (8, 1.05, One), "30 ms late");
    assert_eq!(got.figures.figures.beat_one_entries.count, 2);
}

/// The same music in one track and in several.
#[test]
fn type_0_and_type_1_agree() {
    let changes =
        Track::default().tempo(0, TEMPO).metre(0, (6, 8)).tempo(5000, 450_000).metre(7200, (4, 4));
    let mut solo = Track::default();
    for (index, from) in [300, 660, 2040, 2400, 6000, 6720, 9000, 9480].into_iter().enumerate() {
        solo = solo.note(2, 60 + index as u8, from, from + 300);
    }
    let apart = review(&midi_file(1, &[changes.clone(), solo.clone()]));
    let together = review(&midi_file(0, &[changes.and(&solo)]));
    assert_eq!(apart.phrases, together.phrases);
    assert_eq!(apart.figures, together.figures);
    assert_eq!((apart.track, together.track), (Some(2), Some(1)));
    assert!(apart.phrases.len() > 2);
}
