//! Lag on and off the beat.

use super::{Take, assert_near, eighths};
use overbar_core::take::settings::Pulse;
use proptest::prelude::*;

/// At 150 a millisecond is 1/400 of a quarter. 30 ms behind the beat and nothing off it is what
/// Nelias and others 2022 find near that tempo.
#[test]
fn a_known_lag_on_the_beat_and_off_it() {
    let notes: Vec<f64> =
        (0..16).map(f64::from).flat_map(|beat| [beat + 0.075, beat + 0.5]).collect();
    let lag = Take::new(150.0, (4, 4)).legato(&notes, 16.0).feel().lag;
    for on_beat in [lag.on_beat_ms, lag.eighths_on_beat_ms] {
        assert_eq!(on_beat.count(), 16);
        assert_near(on_beat.mean(), 30.0);
        assert_near(on_beat.sd(), 0.0);
        // All alike: there is no interval to show.
        assert_eq!((on_beat.shown_interval(), on_beat.sd_interval()), (None, None));
    }
    for off_beat in [lag.off_beat_ms, lag.eighths_off_beat_ms] {
        assert_eq!(off_beat.count(), 16);
        assert_near(off_beat.mean(), 0.0);
    }
}

/// Alternately 10 and 20 ms late at 120: mean 15, standard deviation √(8 · 25 / 7); the interval
/// reaches t = 2.3646 (7 degrees, of the table) standard errors.
#[test]
fn steadiness_and_interval() {
    let notes: Vec<f64> =
        (0..8).map(|n| f64::from(n) + if n % 2 == 0 { 0.02 } else { 0.04 }).collect();
    let lag = Take::new(120.0, (4, 4)).legato(&notes, 8.0).feel().lag;
    let sd = (200.0_f64 / 7.0).sqrt();
    assert_near(lag.on_beat_ms.mean(), 15.0);
    assert_near(lag.on_beat_ms.sd(), sd);
    let (low, _) = lag.on_beat_ms.interval().unwrap();
    assert!((low - (15.0 - 2.3646 * sd / 8.0_f64.sqrt())).abs() < 1e-3, "{low}");
    assert_eq!(lag.off_beat_ms.count(), 0);
}

/// An off-beat at a ratio of 2:1 is a sixth of a quarter past the straight one: at 120, 83.3 ms.
#[test]
fn swing_is_part_of_the_off_beats_lag() {
    let lag = Take::new(120.0, (4, 4)).legato(&eighths(0, 8, 2.0 / 3.0), 8.0).feel().lag;
    assert_near(lag.off_beat_ms.mean(), 500.0 / 6.0);
    assert_near(lag.on_beat_ms.mean(), 0.0);
}

/// A note ahead of a bar line is early for it, not late for the bar before.
#[test]
fn a_note_ahead_of_the_bar_line_is_early() {
    let notes: Vec<f64> = (1..9).map(|beat| f64::from(beat) - 0.04).collect();
    let lag = Take::new(120.0, (4, 4)).legato(&notes, 9.0).feel().lag;
    assert_eq!(lag.on_beat_ms.count(), 8);
    assert_near(lag.on_beat_ms.mean(), -20.0);
}

/// Only beats with two notes and no more are eighths.
#[test]
fn sixteenths_are_no_eighths() {
    let take = Take::new(90.0, (4, 4)).legato(&[0.0, 0.5, 0.75, 1.0, 1.5, 2.0, 2.25, 2.5], 3.0);
    let lag = take.feel().lag;
    assert_eq!((lag.on_beat_ms.count(), lag.off_beat_ms.count()), (3, 3));
    assert_eq!((lag.eighths_on_beat_ms.count(), lag.eighths_off_beat_ms.count()), (1, 1));
}

/// In 6/8 the pulse is a dotted quarter: at 120 quarters a minute .03 quarters are 15 ms.
#[test]
fn a_compound_metre_has_beats_and_no_such_off_beat() {
    let notes: Vec<f64> = (0..12).map(|eighth| f64::from(eighth) * 0.5 + 0.03).collect();
    let lag = Take::new(120.0, (6, 8)).legato(&notes, 6.0).feel().lag;
    assert_eq!((lag.on_beat_ms.count(), lag.off_beat_ms.count()), (4, 0));
    assert_near(lag.on_beat_ms.mean(), 15.0);
}

/// In double time the pulse of 6/8 is the eighth, which divides in two.
#[test]
fn a_compound_metre_in_double_time_has_off_beats() {
    let notes: Vec<f64> = (0..24).map(|sixteenth| f64::from(sixteenth) * 0.25).collect();
    let mut take = Take::new(120.0, (6, 8)).legato(&notes, 6.0);
    take.settings.pulse = Pulse::Double;
    let lag = take.feel().lag;
    for (on_beat, off_beat) in
        [(lag.on_beat_ms, lag.off_beat_ms), (lag.eighths_on_beat_ms, lag.eighths_off_beat_ms)]
    {
        assert_eq!((on_beat.count(), off_beat.count()), (12, 12));
        assert_near(off_beat.mean(), 0.0);
    }
}

/// Notes struck together are one onset.
#[test]
fn a_chord_counts_once() {
    let one = Take::new(120.0, (4, 4)).note(1.0, 2.0).note(2.0, 3.0);
    let two = Take::new(120.0, (4, 4)).note(1.0, 2.0).note(2.0, 3.0).note(2.0, 2.9);
    assert_eq!(one.feel().lag, two.feel().lag);
}

proptest! {
    /// Playing all of a line x ms later raises its lags by x, and leaves how steady it is.
    #[test]
    fn a_constant_lag_comes_out_as_it_is(
        tempo in 80.0..200.0,
        late in -15.0..30.0,
        jitter in prop::collection::vec(-4.0..4.0, 32),
    ) {
        let line = |late: f64| {
            let quarters = |ms: f64| ms / 1e3 * tempo / 60.0;
            // A bar's rest first, so that nothing falls before the song's start.
            let places = eighths(4, 20, 0.55).into_iter().zip(&jitter);
            let notes: Vec<f64> = places.map(|(beat, ms)| beat + quarters(ms + late)).collect();
            Take::new(tempo, (4, 4)).legato(&notes, 20.5).feel().lag
        };
        let (on_time, moved) = (line(0.0), line(late));
        for (before, after) in [
            (on_time.on_beat_ms, moved.on_beat_ms),
            (on_time.off_beat_ms, moved.off_beat_ms),
            (on_time.eighths_on_beat_ms, moved.eighths_on_beat_ms),
        ] {
            prop_assert_eq!((before.count(), after.count()), (16, 16));
            prop_assert!((after.mean().unwrap() - before.mean().unwrap() - late).abs() < 1e-6);
            prop_assert!((after.sd().unwrap() - before.sd().unwrap()).abs() < 1e-6);
        }
    }
}
