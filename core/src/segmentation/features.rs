//! The features, each a number for one interval. Rests and lengths are compared as logarithms,
//! so that half and double are equally far.

use super::intervals::{Interval, Intervals, log_length};
use crate::stats::real;

/// A feature.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Feature {
    /// The rest against the longest of the six before.
    RelBefore,
    /// The rest against the player's usual one so far.
    RelUsual,
    /// The rest against the player's usual one in the whole take.
    RelUsualAll,
    /// The length of the interval.
    Interval,
    /// The interval against the median of the sixteen before.
    IntervalMed,
    /// The interval against the median of the sixteen on each side.
    IntervalMedAll,
    /// The leap, in octaves, at most nineteen semitones.
    Leap,
    /// Onsets since the plain rule's last boundary.
    Notes,
    /// Those onsets against the usual phrase so far.
    NotesUsual,
    /// The rest against the next one.
    RelNext,
    /// The rest against the longer of the next two.
    RelNextTwo,
    /// The interval against the longer of the next two.
    IntervalNext,
    /// The rest against the longest of the six after.
    RelAfter,
    /// Onsets until the plain rule's next boundary.
    NotesAfter,
    /// The last note's height over the mean of the sixteen up to it, in octaves.
    EndHeight,
}

/// Every feature with its name in `weights.txt`.
pub const NAMES: [(&str, Feature); 15] = [
    ("rel_before", Feature::RelBefore),
    ("rel_usual", Feature::RelUsual),
    ("rel_usual_all", Feature::RelUsualAll),
    ("interval", Feature::Interval),
    ("interval_med", Feature::IntervalMed),
    ("interval_med_all", Feature::IntervalMedAll),
    ("leap", Feature::Leap),
    ("notes", Feature::Notes),
    ("notes_usual", Feature::NotesUsual),
    ("rel_next", Feature::RelNext),
    ("rel_next_two", Feature::RelNextTwo),
    ("interval_next", Feature::IntervalNext),
    ("rel_after", Feature::RelAfter),
    ("notes_after", Feature::NotesAfter),
    ("end_height", Feature::EndHeight),
];

/// Rests compared on each side.
const AROUND: usize = 6;
/// The logarithm used for a missing rest.
const NO_REST: f64 = -core::f64::consts::LN_10;
/// The largest leap that counts, in semitones.
const LARGEST_LEAP: f64 = 19.0;

/// The value of `feature` at interval `i`; 0 where there is no such interval.
pub fn value(feature: Feature, intervals: &Intervals, i: usize) -> f64 {
    let Some(here) = intervals.get(i) else { return 0.0 };
    let length = here.log_gap;
    match feature {
        Feature::RelBefore => {
            here.log_rest - longest(intervals.between(i.saturating_sub(AROUND), i))
        }
        Feature::RelUsual => here.log_rest - here.memory.usual.0 / here.memory.usual.1,
        Feature::RelUsualAll => {
            let (sum, count) = intervals.usual_of_all();
            let own = if here.rule { (here.remembered, 1.0) } else { (0.0, 0.0) };
            here.log_rest - (sum - own.0) / (count - own.1)
        }
        Feature::Interval => length,
        Feature::IntervalMed => length - log_length(here.median),
        Feature::IntervalMedAll => length - log_length(intervals.median_around(i)),
        Feature::Leap => (here.keys.1 - here.keys.0).abs().min(LARGEST_LEAP) / 12.0,
        Feature::Notes => here.memory.since.ln(),
        Feature::NotesUsual => here.memory.since.ln() - here.memory.usual_length,
        Feature::RelNext => here.log_rest - remembered(intervals, i + 1),
        Feature::RelNextTwo => {
            here.log_rest - remembered(intervals, i + 1).max(remembered(intervals, i + 2))
        }
        Feature::IntervalNext => {
            let usual = || log_length(here.median);
            let next = |i| intervals.get(i).map_or_else(usual, |n| n.log_gap);
            length - next(i + 1).max(next(i + 2))
        }
        Feature::RelAfter => here.log_rest - longest(intervals.between(i + 1, i + 1 + AROUND)),
        Feature::NotesAfter => intervals.until(i).ln(),
        Feature::EndHeight => {
            let keys = intervals.keys_before(i);
            let count = real(keys.len());
            (here.keys.0 - keys.sum::<f64>() / count) / 12.0
        }
    }
}

fn remembered(intervals: &Intervals, i: usize) -> f64 {
    intervals.get(i).map_or(NO_REST, |n| n.remembered)
}

fn longest<'a>(intervals: impl Iterator<Item = &'a Interval>) -> f64 {
    intervals.map(|n| n.remembered).fold(NO_REST, f64::max)
}
