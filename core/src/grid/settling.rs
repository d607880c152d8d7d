//! The grid of the last beats, worked out from both sides while more are to come.
//!
//! When a note is played nobody knows when the next beat will be. Once it is known, so is where in the beat the note
//! was.

use super::anchors::{Anchors, beat_of};
use super::beat_grid::BeatGrid;
use super::follower::FollowedBeat;
use super::live_line::LiveLine;
use super::{PulseNumber, nearest, real};
use crate::time::tempo_map::{Knot, TempoMap};
use crate::time::{Second, Tempo};

/// Beats may still move for so many beats after they were told: two bars of 4/4. Origin: fitted to taps with a
/// person's errors on labelled solos; a beat that is tapped once a bar is then known from both sides.
const SETTLES_WITHIN: i64 = 8;

/// Brings a tempo map that follows beats as they are told up to the newest one. Returns the moment from which on it
/// has changed.
pub fn settle(tempo: &mut TempoMap, anchors: &Anchors, newest: FollowedBeat) -> Second {
    let metre = anchors.metre();
    let last = anchors.last();
    let grid = BeatGrid::of(&anchors.clone().around(last.at, last.at));
    // The map begins where the count-in ends.
    let begun = tempo.knots().first().map(|knot| nearest(knot.beat.0 / metre.pulse().0));
    let earliest = begun.map_or(grid.first(), PulseNumber).max(grid.first());
    let first = PulseNumber(newest.pulse.0 - SETTLES_WITHIN).max(earliest);
    let as_told = |pulse| tempo.second_at(beat_of(pulse, metre));
    // What was before stays as it is, and so the first of these beats does.
    let stays = (first > earliest).then(|| as_told(first)).flatten();
    let begins = stays.unwrap_or_else(|| grid.second_of(first));
    // No anchor says more of later beats than was told.
    let later = |pulse: &PulseNumber| as_told(*pulse).filter(|_| *pulse > last.pulse);
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

    /// A beat each half second, but the one at `late`, which comes 60 ms late.
    fn time_of(pulse: i64, late: i64) -> f64 {
        0.5 * real(pulse) + if pulse == late { 0.06 } else { 0.0 }
    }

    #[test]
    fn where_in_the_beat_a_note_was_is_known_once_the_next_beat_is() {
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
            // Half way between the late beat and the one before it, as it is told by then.
            let middle = Second(f64::midpoint(time_of(late - 1, late), time_of(late, late)));
            between.push(tempo.beat_at(middle).unwrap().0 - 19.5);
            // What lies farther back stays.
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
