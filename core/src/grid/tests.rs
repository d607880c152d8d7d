//! Tests with human taps, including wrong ones, and with arbitrary taps.

use super::anchors::{AnchorSource, Anchors};
use super::beat_grid::BeatGrid;
use super::file::AnchorFile;
use super::follower::{TapCounts, TapFollower, Tapped, follow};
use super::{PULSE_SECONDS, PulseNumber, real};
use crate::time::metre::Metre;
use crate::time::{Second, SecondSpan};
use proptest::prelude::*;

const NO_LAG: SecondSpan = SecondSpan(0.0);

fn followed(taps: impl IntoIterator<Item = f64>) -> TapFollower {
    follow(taps.into_iter().map(Second), Metre::COMMON, NO_LAG)
}

/// Taps on these beats, half a second apart from second 1 on: beat one comes at second 3.
fn at(beats: impl IntoIterator<Item = f64>) -> TapFollower {
    followed(beats.into_iter().map(|beat| 1.0 + beat * 0.5))
}

fn beats(range: core::ops::Range<i32>) -> impl Iterator<Item = f64> {
    range.map(f64::from)
}

fn grid(follower: &TapFollower) -> BeatGrid {
    BeatGrid::of(&follower.anchors().unwrap())
}

fn near(one: Second, other: f64) -> bool {
    (one.0 - other).abs() < 1e-6
}

#[test]
fn four_taps_count_in_and_the_next_beat_is_beat_one() {
    let mut follower = TapFollower::new(Metre::COMMON, SecondSpan(-0.02));
    let taps = [0.98, 1.48, 1.98, 2.48, 2.98];
    let outcomes = taps.map(|tap| follower.tap(Second(tap)));
    let counting = Tapped::CountingIn;
    let first = Tapped::Beat(PulseNumber(0));
    assert_eq!(outcomes, [counting, counting, counting, Tapped::CountedIn, first]);
    // The tapper's 20 ms are corrected.
    assert!(near(follower.beat().unwrap().at, 3.0));
    let grid = grid(&follower);
    assert!(near(grid.second_of(PulseNumber(0)), 3.0));
    assert_eq!(grid.metres().bar_at(grid.tempo().beat_at(Second(3.1)).unwrap()).number, 1);
    assert_eq!(grid.nearest_pulse(Second(9.1)), PulseNumber(12));
}

#[test]
fn too_few_or_uneven_taps_are_no_count_in() {
    for taps in [&[][..], &[1.0], &[1.0, 1.5, 2.0], &[1.0, 1.5, 2.9, 3.1]] {
        let follower = followed(taps.iter().copied());
        assert_eq!((follower.beat(), follower.anchors()), (None, None), "{taps:?}");
    }
    // Only the last four taps have to be even.
    assert!(followed([0.1, 1.0, 1.5, 2.0, 2.5]).anchors().is_some());
}

#[test]
fn a_tap_per_bar_and_missed_taps_are_followed() {
    let follower = at([0.0, 1.0, 2.0, 3.0, 4.0, 8.0, 12.0, 13.0, 16.0, 24.0]);
    assert_eq!(follower.counts(), TapCounts { followed: 10, ..TapCounts::default() });
    assert_eq!(follower.beat().unwrap().pulse, PulseNumber(20));
    assert!(follower.anchors().unwrap().all().iter().all(|anchor| !anchor.in_doubt));
}

#[test]
fn double_taps_and_taps_between_beats_never_bend_the_tempo() {
    let row = [0.0, 1.0, 2.0, 3.0, 4.0, 4.1, 5.0, 5.5, 6.0, 6.5, 7.0, 7.5, 8.0, 8.25, 9.0];
    let follower = at(row);
    let TapCounts { double, off_the_grid, restarts, .. } = follower.counts();
    assert_eq!((double, off_the_grid, restarts), (2, 3, 0));
    let beat = follower.beat().unwrap();
    assert_eq!(beat.pulse, PulseNumber(5));
    assert!((beat.period.0 - 0.5).abs() < 1e-9 && near(beat.at, 5.5), "{beat:?}");
}

#[test]
fn four_even_taps_off_the_grid_restart_it_and_leave_the_count_in_doubt() {
    // A fermata on beat 10, then taps that resume between two beats.
    let taps: Vec<f64> = beats(0..11).map(|beat| 1.0 + beat * 0.5).collect();
    let after = beats(0..8).map(|beat| 9.25 + beat * 0.5);
    let follower = followed(taps.into_iter().chain(after));
    assert_eq!(follower.counts().restarts, 1);
    let anchors = follower.anchors().unwrap();
    assert_eq!(anchors.all().iter().filter(|anchor| anchor.in_doubt).count(), 1);
    let grid = BeatGrid::of(&anchors);
    // Beat one of a new bar comes after the four.
    let one = grid.tempo().beat_at(Second(9.25 + 4.0 * 0.5 + 0.01)).unwrap();
    let bar = grid.metres().bar_at(one);
    assert!((one.0 - bar.start.0).abs() < 0.1, "{one:?} {bar:?}");
    let certainty = grid.certainty(Second(1.0), Second(12.0));
    assert!(certainty.count_in_doubt && certainty.is_approximate());
    let before = grid.certainty(Second(1.0), Second(5.0));
    assert!(!before.is_approximate() && before.bridged == 0.0, "{before:?}");
}

#[test]
fn long_gaps_are_reported_as_bridged() {
    let follower = at(beats(0..12).chain(beats(44..60)));
    let grid = grid(&follower);
    let certainty = grid.certainty(Second(1.0), Second(31.0));
    assert_eq!(certainty.bridges.len(), 1);
    assert!((certainty.bridged - 33.0 / 60.0).abs() < 0.01, "{certainty:?}");
    assert!(certainty.is_approximate());
    // The grid holds for a bar after the last tap, and no longer.
    let after = grid.certainty(Second(25.0), Second(40.0));
    assert!(after.bridged > 0.4 && after.bridges.len() == 1, "{after:?}");
}

#[test]
fn smoothed_beats_are_closer_than_live_ones() {
    // The tempo rises from 120 to 168 BPM; taps are 20 ms late or 10 ms early.
    let beat_time = |beat: i32| 0.5 * f64::from(beat) - 0.0006 * f64::from(beat * beat);
    let error = |beat: i32| if beat.rem_euclid(3) == 0 { 0.02 } else { -0.01 };
    let mut follower = TapFollower::new(Metre::COMMON, NO_LAG);
    let mut live = 0.0;
    for beat in 0..120 {
        follower.tap(Second(beat_time(beat) + error(beat)));
        if let Some(followed) = follower.beat() {
            live += (followed.at.0 - beat_time(beat)).abs();
        }
    }
    let grid = grid(&follower);
    let off =
        |beat: i32| (grid.second_of(PulseNumber(i64::from(beat) - 4)).0 - beat_time(beat)).abs();
    let after: f64 = (3..120).map(off).sum();
    assert!(after < live && after / 117.0 < 0.008, "{after} {live}");
}

#[test]
fn a_changed_anchor_affects_only_its_surroundings() {
    let anchors = at(beats(0..200)).anchors().unwrap();
    let grid = BeatGrid::of(&anchors);
    let changed = BeatGrid::of(&anchors.with_beat_at(Second(51.03)).unwrap());
    let off = |pulse| (grid.second_of(pulse).0 - changed.second_of(pulse).0).abs();
    assert!(off(PulseNumber(96)) > 0.02, "{}", off(PulseNumber(96)));
    for far in [0, 40, 72, 120, 150, 190] {
        assert!(off(PulseNumber(far)) < 5e-4, "{far}: {}", off(PulseNumber(far)));
    }
}

#[test]
fn one_edit_corrects_the_count() {
    let anchors = at(beats(0..40)).anchors().unwrap();
    let bar_at = |anchors: &Anchors, second: f64| {
        let grid = BeatGrid::of(anchors);
        let beat = grid.tempo().beat_at(Second(second)).unwrap();
        let bar = grid.metres().bar_at(beat);
        (bar.number, (beat - bar.start).0.round())
    };
    assert_eq!(bar_at(&anchors, 3.001), (1, 0.0));
    let moved = anchors.with_beat_one_at(Second(8.52)).unwrap();
    assert_eq!(bar_at(&moved, 8.5), (4, 0.0));
    assert_eq!(bar_at(&moved, 3.5), (1, 2.0));
    let later = anchors.with_beat_one_later(Second(8.5), -1).unwrap();
    assert_eq!(later, moved);
    assert_eq!(later.with_beat_one_later(Second(8.5), 1).unwrap(), anchors);
    let slow = anchors.at_half_tempo().unwrap();
    assert_eq!(bar_at(&slow, 11.0), (3, 0.0));
    assert_eq!(bar_at(&slow.at_double_tempo().unwrap(), 7.0), (3, 0.0));
    let nudged = anchors.nudged(SecondSpan(0.005)).unwrap();
    assert!(near(BeatGrid::of(&nudged).second_of(PulseNumber(0)), 3.005));
    assert!(anchors.at_double_tempo().unwrap().at_double_tempo().is_err(), "480 BPM");
}

#[test]
fn the_bars_between_two_moments_can_be_set() {
    // Four beats in the gap were not counted.
    let anchors = at(beats(0..20).chain(beats(40..60))).anchors().unwrap();
    let moment = |beat: f64| Second(1.0 + beat * 0.5);
    let edited = anchors.with_bars_between(moment(16.0), moment(44.0), 8).unwrap();
    let grid = BeatGrid::of(&edited);
    let count = grid.nearest_pulse(moment(44.0)) - grid.nearest_pulse(moment(16.0));
    assert_eq!(count, 32);
    assert_eq!(grid.nearest_pulse(moment(50.0)) - grid.nearest_pulse(moment(44.0)), 6);
    assert_eq!(grid.nearest_pulse(moment(4.0)), PulseNumber(0));
    assert!(edited.all().iter().any(|anchor| anchor.source == AnchorSource::Hand));
    assert!(anchors.with_bars_between(moment(16.0), moment(16.0), 8).is_err());
    assert!(anchors.with_bars_between(moment(16.0), moment(17.0), 800).is_err());
}

#[test]
fn a_file_of_anchors_survives_a_round_trip() {
    let taps = beats(0..12).map(|beat| 1.0 + beat * 0.5).chain(beats(0..9).map(|b| 9.25 + b * 0.5));
    for anchors in [at(beats(0..30)).anchors().unwrap(), followed(taps).anchors().unwrap()] {
        let text = serde_json::to_string(&AnchorFile::of(&anchors)).unwrap();
        let file: AnchorFile = serde_json::from_str(&text).unwrap();
        assert_eq!(file.anchors().unwrap(), anchors, "{text}");
    }
}

fn check_anchors(follower: &TapFollower) -> Result<(), TestCaseError> {
    let Some(anchors) = follower.anchors() else { return Ok(()) };
    let grid = BeatGrid::of(&anchors);
    prop_assert!(grid.tempo().is_sound() && grid.metres().is_sound());
    let count = grid.tempo().knots().len();
    let (first, last) = (anchors.all()[0].pulse, anchors.all()[anchors.all().len() - 1].pulse);
    prop_assert_eq!(real(last - first) + 1.0, f64::from(u32::try_from(count).unwrap()));
    let pulses = grid.tempo().knots().iter().map(|knot| 60.0 / knot.tempo.quarters_a_minute());
    for period in pulses {
        let bounds = PULSE_SECONDS.start() - 1e-9..=PULSE_SECONDS.end() + 1e-9;
        prop_assert!(bounds.contains(&period), "{}", period);
    }
    let certainty = grid.certainty(Second(0.0), Second(100.0));
    prop_assert!((0.0..=1.0).contains(&certainty.bridged) && certainty.spread.0.is_finite());
    check_file(&anchors)
}

/// A file preserves the anchors and their bars.
fn check_file(anchors: &Anchors) -> Result<(), TestCaseError> {
    let file = AnchorFile::of(anchors);
    let read = file.anchors().unwrap();
    let counted = |anchors: &Anchors| {
        let first = anchors.first().pulse;
        let each = anchors.all().iter();
        each.map(|a| (a.at, a.pulse - first, a.source, a.in_doubt)).collect::<Vec<_>>()
    };
    prop_assert_eq!(counted(&read), counted(anchors));
    prop_assert_eq!(AnchorFile::of(&read), file);
    Ok(())
}

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => 0.0..3.0,
        1 => Just(0.5),
        1 => -1.0..0.0,
        1 => prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(-1e300), Just(1e9), Just(4e3)],
    ]
}

proptest! {
    #[test]
    fn any_taps_give_a_sound_grid_or_none(
        gaps in prop::collection::vec(any_number(), 0..120),
        lag in any_number(),
    ) {
        let mut follower = TapFollower::new(Metre::COMMON, SecondSpan(lag));
        let mut at = 0.0;
        for gap in gaps {
            follower.tap(Second(at + gap));
            if gap.abs() < 1e4 {
                at += gap;
            }
        }
        check_anchors(&follower)?;
    }

    #[test]
    fn nearly_even_taps_give_nearly_even_beats(
        period in 0.17..2.0,
        errors in prop::collection::vec(-0.04..0.04, 8..80),
    ) {
        let taps = (0..).zip(&errors).map(|(beat, error): (i32, &f64)| {
            (f64::from(beat) + error) * period
        });
        let follower = followed(taps);
        prop_assert_eq!(follower.counts().off_the_grid, 0);
        check_anchors(&follower)?;
        for knot in grid(&follower).tempo().knots() {
            let ratio = 60.0 / knot.tempo.quarters_a_minute() / period;
            prop_assert!((0.9..1.1).contains(&ratio), "{}", ratio);
        }
    }

    #[test]
    fn edits_give_a_sound_grid_or_a_reason(
        gaps in prop::collection::vec(0.3..0.7, 4..60),
        moments in (0.0..40.0, 0.0..40.0),
        bars in 0_u32..40,
    ) {
        let mut at = 0.0;
        let taps = gaps.into_iter().map(|gap| { at += gap; at });
        let Some(anchors) = followed(taps).anchors() else { return Ok(()) };
        let (one, other) = (Second(moments.0), Second(moments.1));
        for edited in [
            anchors.with_beat_one_at(one),
            anchors.with_beat_one_later(one, -1),
            anchors.with_beat_one_later(other, 3),
            anchors.with_beat_at(one),
            anchors.without(one),
            anchors.nudged(SecondSpan(0.005)),
            anchors.at_double_tempo(),
            anchors.at_half_tempo(),
            anchors.with_bars_between(one, other, bars),
        ]
        .into_iter()
        .flatten()
        {
            let grid = BeatGrid::of(&edited);
            prop_assert!(grid.tempo().is_sound() && grid.metres().is_sound());
            check_file(&edited)?;
        }
    }
}

#[test]
fn distant_anchors_do_not_affect_a_stretch() {
    let uneven = |tap: i32| 0.5 * f64::from(tap) + 0.02 * f64::from(tap * 7 % 5 - 2);
    let taps = (0..400).map(|tap| Second(uneven(tap)));
    let all = follow(taps, Metre::COMMON, SecondSpan(0.0)).anchors().unwrap();
    let (from, to) = (Second(80.0), Second(90.0));
    let some = all.clone().around(from, to);
    assert!(some.all().len() < 160, "{}", some.all().len());
    let (all, some) = (BeatGrid::of(&all), BeatGrid::of(&some));
    for second in (80..90).map(|second| Second(f64::from(second))) {
        let (one, other) = (all.tempo().beat_at(second), some.tempo().beat_at(second));
        assert!((one.unwrap().0 - other.unwrap().0).abs() < 2e-6, "{one:?} {other:?}");
        assert_eq!(all.metres().bar_at(one.unwrap()), some.metres().bar_at(other.unwrap()));
    }
}
