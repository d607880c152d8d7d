//! Swing. Source: the beat-upbeat ratio of Benadon 2006, by definition: a ratio r puts the
//! off-beat at r / (1 + r) of the beat.

use super::{Take, assert_near, eighths};
use proptest::prelude::*;

#[test]
fn straight_and_swung() {
    // Ratio and its place, exact to four figures.
    for (ratio, and) in [(1.0, 0.5), (1.2, 0.5455), (1.5, 0.6), (5.0 / 3.0, 0.625), (2.0, 0.6667)] {
        let swing = Take::new(160.0, (4, 4)).legato(&eighths(0, 17, and), 17.0).feel().swing;
        // The last beat has no next one.
        assert_eq!(swing.log2_ratio.count(), 16);
        assert!((swing.ratio().unwrap() - ratio).abs() < 1e-3, "{ratio}: {swing:?}");
        assert!((swing.log2_ratio.mean().unwrap().exp2() - ratio).abs() < 1e-3, "{ratio}");
    }
}

/// Worked example of a published library's test, read at second hand: beats 0, 1, 2, 3, 4 with
/// upbeats at .5, 1.2, 2.6, 3.5 have ratios 1, .25, 1.5, 1. At 1.2 is no "and", but a sixteenth:
/// 1, 1.5 and 1 are left, with median 1 and mean log2(1.5) / 3. Their upbeats lie at .5, .6 and .5.
#[test]
fn the_worked_example() {
    let notes = [0.0, 0.5, 1.0, 1.2, 2.0, 2.6, 3.0, 3.5, 4.0];
    let swing = Take::new(120.0, (4, 4)).legato(&notes, 5.0).feel().swing;
    assert_eq!(swing.log2_ratio.count(), 3);
    assert_near(swing.median_log2_ratio, 0.0);
    assert_near(swing.log2_ratio.mean(), 1.5_f64.log2() / 3.0);
    assert_near(swing.upbeat.mean(), (0.5 + 0.6 + 0.5) / 3.0);
    assert_near(swing.ratio(), 1.6 / 1.4);
}

/// How uneven a pair may be and still be one of eighths, at any tempo: with its first note on the
/// beat, from .36 to .74 of it, about, where the labels
/// of the Weimar Jazz Database (Pfleiderer and others 2017) have other divisions of the beat. At a fast
/// tempo the scatter of a hand is more of the beat, and there are no sixteenths to be told apart.
#[test]
fn the_reach_of_the_and() {
    let slow = [(0.52, false), (0.7, true), (2.5, true), (3.0, false)];
    let fast = [(0.5, false), (0.7, true), (2.3, true), (2.7, true)];
    let of = |tempo: f64, pairs: [(f64, bool); 4]| pairs.map(|(ratio, is)| (tempo, ratio, is));
    for (tempo, ratio, counts) in
        [of(60.0, slow), of(120.0, slow), of(240.0, fast)].into_iter().flatten()
    {
        let take = Take::new(tempo, (4, 4)).legato(&[0.0, ratio / (1.0 + ratio), 1.0], 2.0);
        assert_eq!(take.feel().swing.log2_ratio.count() == 1, counts, "{ratio} at {tempo}");
    }
}

/// Beats 30 ms late at 150 and off-beats at 2:1, where the band has them: the line's own ratio is
/// (.6667 − .075) / (.3333 + .075), which is why soloists' ratios are smaller than drummers'
/// (Nelias and others 2022).
#[test]
fn late_beats_make_the_ratio_smaller() {
    let late = 0.075;
    let notes: Vec<f64> =
        (0..9).map(f64::from).flat_map(|beat| [beat + late, beat + 2.0 / 3.0]).collect();
    let swing = Take::new(150.0, (4, 4)).legato(&notes, 9.0).feel().swing;
    assert_near(swing.ratio(), (2.0 / 3.0 - late) / (1.0 / 3.0 + late));
}

#[test]
fn only_beats_with_exactly_one_note_more_and_a_next_beat_have_a_ratio() {
    for (what, notes, pairs) in [
        ("a pair", &[0.0, 0.5, 1.0][..], 1),
        ("two notes after the beat", &[0.0, 0.5, 0.75, 1.0], 0),
        ("none on the next beat", &[0.0, 0.5, 1.5], 0),
        ("none on the beat", &[0.5, 1.0, 2.0], 0),
        ("none on the and", &[0.0, 1.0, 2.0], 0),
        ("over the bar line", &[3.0, 3.6, 4.0], 1),
    ] {
        let swing = Take::new(100.0, (4, 4)).legato(notes, 5.0).feel().swing;
        assert_eq!(swing.log2_ratio.count(), pairs, "{what}");
    }
}

/// After a beat of quick notes, half a beat's rest parts phrases: the beat after the "and" is in
/// the next one.
#[test]
fn a_pair_lies_within_a_phrase() {
    let mut notes: Vec<f64> = (0..8).map(|n| f64::from(n) * 0.125).collect();
    notes.extend([1.0, 1.5]);
    for (end, phrases, pairs) in [(1.55, 2, 0), (2.0, 1, 1)] {
        let whole = Take::new(60.0, (4, 4)).legato(&notes, end).note(2.0, 3.0).whole();
        assert_eq!((whole.phrases.len(), whole.take.swing.log2_ratio.count()), (phrases, pairs));
    }
}

/// Halves and eighths as pulses, and pulses in three, have no swung eighths.
#[test]
fn beats_are_quarters() {
    let line = eighths(0, 14, 0.5);
    for (metre, any) in [
        ((4, 4), true),
        ((3, 4), true),
        ((5, 4), true),
        ((2, 2), false),
        ((7, 8), false),
        ((6, 8), false),
    ] {
        let swing = Take::new(120.0, metre).legato(&line, 14.0).feel().swing;
        assert_eq!(swing.log2_ratio.count() > 0, any, "{metre:?}");
    }
}

proptest! {
    /// A lag of the whole line is no swing.
    #[test]
    fn the_ratio_does_not_depend_on_the_lag(late in -0.03..0.06, ratio in 1.0..1.8) {
        let notes: Vec<f64> =
            eighths(4, 13, ratio / (1.0 + ratio)).into_iter().map(|beat| beat + late).collect();
        let swing = Take::new(140.0, (4, 4)).legato(&notes, 13.2).feel().swing;
        prop_assert_eq!(swing.log2_ratio.count(), 8);
        assert_near(swing.ratio(), ratio);
    }
}
