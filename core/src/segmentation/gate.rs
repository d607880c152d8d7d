//! Detects controllers whose note ends mean nothing: mallets and pads that give every note the same
//! short gate.

use super::intervals::{Intervals, LONGEST_GATE, RECENT};

const NEEDED: usize = 8;
/// Tolerance around the median duration, in seconds.
const SAME_WITHIN: f64 = 0.004;

/// Durations within that tolerance of the median are this close to each other, in seconds.
const NEAR_ANY_OF_THEM: f64 = 2.01 * SAME_WITHIN;

/// Whether note ends mean nothing, judged by the durations up to interval `i`.
pub fn is_fixed(intervals: &Intervals, i: usize) -> bool {
    let mut lengths = [0.0; RECENT];
    let recent = intervals.between((i + 1).saturating_sub(RECENT), i + 1);
    let count = recent.len();
    // In most lines the median is longer, which can be seen without sorting.
    if intervals.get(i).is_none_or(|interval| 2 * usize::from(interval.short) <= count) {
        return false;
    }
    for (length, interval) in lengths.iter_mut().zip(recent) {
        *length = interval.held;
    }
    let Some(lengths) = lengths.get_mut(..count).filter(|l| l.len() >= NEEDED) else {
        return false;
    };
    // At least one of any three is not among the two in sixteen that may differ.
    let all_near = |middle: &f64| {
        let near = lengths.iter().filter(|l| (**l - middle).abs() <= NEAR_ANY_OF_THEM).count();
        near * 8 >= count * 7
    };
    if !lengths.iter().take(3).any(all_near) {
        return false;
    }
    lengths.sort_unstable_by(f64::total_cmp);
    let Some(middle) = lengths.get(count / 2).copied().filter(|m| *m <= LONGEST_GATE) else {
        return false;
    };
    let alike = lengths.iter().filter(|l| (**l - middle).abs() <= SAME_WITHIN).count();
    // Seven in eight.
    alike * 8 >= count * 7
}
