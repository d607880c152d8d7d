//! Where phrases begin: decided at the onset that opens a phrase, never later.

use crate::note::Note;
use crate::settings::{BoundaryRule, FIRST_INTERVAL, RECENT_INTERVALS, TIMING_GRAIN};
use crate::stats::median;
use crate::time::SecondSpan;

/// The last [`RECENT_INTERVALS`] inter-onset intervals. Notes struck together are one onset.
#[derive(Debug, Clone, Copy, Default)]
pub struct RecentIntervals {
    ring: [f64; RECENT_INTERVALS],
    heard: usize,
}

impl RecentIntervals {
    /// Takes the next interval.
    pub fn push(&mut self, interval: SecondSpan) {
        if let Some(slot) = self.ring.get_mut(self.heard % RECENT_INTERVALS) {
            *slot = interval.0;
        }
        self.heard += 1;
    }

    /// Their median; [`FIRST_INTERVAL`] before any was heard.
    #[must_use]
    pub fn median(&self) -> SecondSpan {
        let mut sorted = self.ring;
        let Some(heard) = sorted.get_mut(..self.heard.min(RECENT_INTERVALS)) else {
            return FIRST_INTERVAL;
        };
        median(heard).map_or(FIRST_INTERVAL, SecondSpan)
    }
}

impl BoundaryRule {
    /// Whether a phrase begins after `rest`, given the intervals before it.
    #[must_use]
    pub fn parts(&self, rest: SecondSpan, recent: &RecentIntervals) -> bool {
        let threshold = self.least_rest.0.max(self.ratio * recent.median().0);
        rest.0 >= threshold - TIMING_GRAIN.0
    }
}

/// The notes of the last onset among `notes`: those struck together with the last one.
pub fn last_onset(notes: &[Note]) -> impl Iterator<Item = &Note> {
    let at = notes.last().map(|n| n.on.second);
    notes.iter().rev().take_while(move |n| Some(n.on.second) == at)
}

/// The rest between the notes of one onset and the next onset: from the latest of their ends;
/// nothing while one of them still sounds. `before` are the notes up to the next onset.
#[must_use]
pub fn rest_before(before: &[Note], next: &Note) -> SecondSpan {
    // An end at or after the next onset was not heard yet when that onset came.
    let silence = |n: &Note| n.off.map_or(0.0, |off| (next.on.second - off.second).0.max(0.0));
    SecondSpan(last_onset(before).map(silence).reduce(f64::min).unwrap_or(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::{Beat, Moment, Second};

    fn note(on: f64, off: Option<f64>) -> Note {
        let moment = |at| Moment { beat: Beat(at), second: Second(at) };
        Note { on: moment(on), off: off.map(moment), key: 60, channel: 0, velocity: 0.5 }
    }

    #[test]
    fn the_median_is_of_the_last_sixteen() {
        let mut recent = RecentIntervals::default();
        assert_eq!(recent.median(), FIRST_INTERVAL);
        recent.push(SecondSpan(0.5));
        recent.push(SecondSpan(0.3));
        assert_eq!(recent.median(), SecondSpan(0.4));
        for _ in 0..16 {
            recent.push(SecondSpan(0.1));
        }
        assert_eq!(recent.median(), SecondSpan(0.1));
    }

    #[test]
    fn the_rule_at_its_edges() {
        let rule = BoundaryRule::default();
        let mut recent = RecentIntervals::default();
        recent.push(SecondSpan(0.1));
        assert!(rule.parts(SecondSpan(0.25), &recent));
        assert!(!rule.parts(SecondSpan(0.24), &recent));
        let mut slow = RecentIntervals::default();
        slow.push(SecondSpan(0.4));
        assert!(rule.parts(SecondSpan(0.6), &slow));
        assert!(!rule.parts(SecondSpan(0.59), &slow));
    }

    #[test]
    fn rest_counts_from_the_latest_end_of_what_was_struck_last() {
        assert_eq!(rest_before(&[], &note(1.0, None)), SecondSpan(0.0));
        assert_eq!(rest_before(&[note(0.0, Some(0.5))], &note(1.0, None)), SecondSpan(0.5));
        assert_eq!(rest_before(&[note(0.0, None)], &note(1.0, None)), SecondSpan(0.0));
        assert_eq!(rest_before(&[note(0.0, Some(1.2))], &note(1.0, None)), SecondSpan(0.0));
        let chord = [note(0.0, Some(0.2)), note(0.0, Some(0.75))];
        assert_eq!(rest_before(&chord, &note(1.0, None)), SecondSpan(0.25));
        // A note stuck from before does not hide the rest after a later one.
        let stuck = [note(0.0, None), note(0.2, Some(0.4))];
        assert!((rest_before(&stuck, &note(1.0, None)).0 - 0.6).abs() < 1e-12);
    }
}
