//! Settles the live grid: recomputes the last beats each time another one comes.
//!
//! The position of a note within its beat is known only once the next beat has come.

use super::anchors::{Anchors, beat_of};
use super::beat_grid::BeatGrid;
use super::follower::FollowedBeat;
use super::live_line::LiveLine;
use super::{PulseNumber, nearest, real};
use crate::time::tempo_map::{Knot, TempoMap};
use crate::time::{Second, Tempo};

/// A beat may still move until this many more have come: two bars of 4/4. Origin: fitted to taps with human
/// errors on labelled solos; with one tap a bar, a beat then has taps on both sides.
const SETTLES_WITHIN: i64 = 8;

/// Updates a live tempo map with the newest beat. Returns the moment from which it has changed.
pub fn settle(tempo: &mut TempoMap, anchors: &Anchors, newest: FollowedBeat) -> Second {
    let metre = anchors.metre();
    let last = anchors.last();
    let grid = BeatGrid::of(&anchors.clone().around(last.at, last.at));
    // The map starts where the count-in ends.
    let start = tempo.knots().first().map(|knot| nearest(knot.beat.0 / metre.pulse().0));
    let earliest = start.map_or(grid.first(), PulseNumber).max(grid.first());
    let first = PulseNumber(newest.pulse.0 - SETTLES_WITHIN).max(earliest);
    let live_time = |pulse| tempo.second_at(beat_of(pulse, metre));
    // Earlier beats are final, and so is the first of these.
    let stays = (first > earliest).then(|| live_time(first)).flatten();
    let begins = stays.unwrap_or_else(|| grid.second_of(first));
    // Beats after the last anchor keep their live times.
    let later = |pulse: &PulseNumber| live_time(*pulse).filter(|_| *pulse > last.pulse);
    let between = (first.0 + 1..newest.pulse.0).map(PulseNumber);
    let mut beats: Vec<(PulseNumber, Second)> = between
        .map(|pulse| (pulse, later(&pulse).unwrap_or_else(|| grid.second_of(pulse))))
        .collect();
    beats.push((newest.pulse, newest.at));
    let (mut pulse, mut from) = (first, begins);
    for (next, to) in beats {
        let length = metre.pulse().0 * real(next - pulse);
        if let Some(along) = Tempo::new(length * 60.0 / (to - from).0) {
            tempo.push(Knot { second: from, beat: beat_of(pulse, metre), tempo: along });
            (pulse, from) = (next, to);
        }
    }
    for knot in LiveLine::through(metre, newest).knots() {
        tempo.push(knot);
    }
    begins
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::anchors::{Anchor, AnchorSource, BarLine};
    use crate::time::metre::Metre;
    use crate::time::{Beat, SecondSpan};

    /// A beat every half second; `late` comes 60 ms late.
    fn time_of(pulse: i64, late: i64) -> f64 {
        0.5 * real(pulse) + if pulse == late { 0.06 } else { 0.0 }
    }

    #[test]
    fn positions_within_a_beat_settle_once_the_next_beat_has_come() {
        let late = 20;
        let mut tempo = TempoMap::default();
        let mut each = Vec::new();
        let mut between = Vec::new();
        for pulse in 0..30 {
            let at = Second(time_of(pulse, late));
            let source = AnchorSource::Hand;
            each.push(Anchor { at, pulse: PulseNumber(pulse), source, in_doubt: false });
            let lines = vec![BarLine { pulse: PulseNumber(0), bar: 1 }];
            let Ok(anchors) = Anchors::new(Metre::COMMON, lines, each.clone()) else { continue };
            let newest = FollowedBeat { pulse: PulseNumber(pulse), at, period: SecondSpan(0.5) };
            let before = tempo.clone();
            let from = settle(&mut tempo, &anchors, newest);
            assert!(tempo.is_sound());
            // Halfway between the late beat and the one before it, on the grid at this point.
            let middle = Second(f64::midpoint(time_of(late - 1, late), time_of(late, late)));
            between.push(tempo.beat_at(middle).unwrap().0 - 19.5);
            // Anything earlier is final.
            let earlier = Second(from.0 - 0.1);
            if pulse > SETTLES_WITHIN + 1 {
                assert_eq!(before.beat_at(earlier), tempo.beat_at(earlier));
                assert!((from.0 - time_of(pulse - SETTLES_WITHIN, late)).abs() < 0.06);
            }
        }
        let [at_once, settled, last] = [18, 19, 28].map(|number: usize| between[number].abs());
        assert!((at_once - 0.06).abs() < 0.005, "it was thought to be later: {at_once}");
        assert!(settled < 0.015 && last < 0.01, "{settled} {last}");
        assert!((tempo.beat_at(Second(15.0)).unwrap().0 - Beat(30.0).0).abs() < 0.05);
    }
}
