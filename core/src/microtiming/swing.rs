//! The swing ratio of a line's eighths, long to short.
//!
//! Source: the beat-upbeat ratio of Benadon 2006. It needs a note on a beat, exactly one more in that
//! beat, on its "and", and a note on the next beat; it is the first interval divided by the second, in
//! seconds. 1 is straight, 2 is triplet swing, less than 1 is short-long.
//!
//! The ratio of a take comes from the mean position of its upbeats: a position p between two beats is a
//! ratio of p / (1 − p). It is steadier than the median of ratios, which from 40 pairs is off by more
//! than .1 in one take of five. The median is reported too, and the mean of logarithms to base 2, in
//! which 2:1 and 1:2 are equally far from straight.
//!
//! Deviations from the source, which selects pairs of eighths by ear: the quantizer decides which notes
//! are on the "and", up to a ratio of 3.5 if the whole line swings so, and less for a single uneven pair.
//! The player's own timing ([`super::own_timing`]) decides which are on a beat. Only pulses of a quarter
//! note count, as for [`crate::phrase::subdivision::step`].

use super::onsets::{Onset, is_same};
use crate::stats::median;
use crate::stats::sample::Sample;
use crate::time::{Beat, BeatSpan, Second, SecondSpan};
use serde::Serialize;

/// Swing ratios.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Swing {
    /// Logarithms to base 2 of the beat-upbeat ratios.
    pub log2_ratio: Sample,
    pub median_log2_ratio: Option<f64>,
    /// Positions of the upbeats between their beats, from 0 to 1.
    pub upbeat: Sample,
}

impl Swing {
    /// The swing of these [`log2_ratios`].
    pub fn of(mut logarithms: Vec<f64>) -> Self {
        let mut swing = Self::default();
        for logarithm in &logarithms {
            let ratio = logarithm.exp2();
            swing.log2_ratio.push(*logarithm);
            swing.upbeat.push(ratio / (1.0 + ratio));
        }
        swing.median_log2_ratio = median(&mut logarithms);
        swing
    }

    /// The ratio of long to short eighths.
    pub fn ratio(&self) -> Option<f64> {
        self.upbeat.mean().map(ratio_at)
    }

    /// The 95 % interval of the ratio; `None` for fewer than two pairs, and if it is unbounded.
    pub fn interval(&self) -> Option<(f64, f64)> {
        let (low, high) = self.upbeat.shown_interval()?;
        (low > 0.0 && high < 1.0).then(|| (ratio_at(low), ratio_at(high)))
    }
}

/// The ratio of an upbeat at `position` between its beats.
fn ratio_at(position: f64) -> f64 {
    position / (1.0 - position)
}

/// The beat-upbeat ratio of a beat, its upbeat and the next beat; `None` unless they are in order.
pub fn beat_upbeat_ratio(beat: Second, upbeat: Second, next: Second) -> Option<f64> {
    let (SecondSpan(first), SecondSpan(second)) = (upbeat - beat, next - upbeat);
    (first > 0.0 && second > 0.0).then(|| first / second)
}

/// The logarithms to base 2 of the beat-upbeat ratios in a phrase, in order; `beats` has the beat of each
/// onset that is on one.
pub fn log2_ratios(onsets: &[Onset], beats: &[Option<Beat>]) -> Vec<f64> {
    let ratio = |(three, beats): (&[Onset], &[Option<Beat>])| match (three, beats) {
        ([first, upbeat, next], [Some(beat), None, Some(next_beat)])
            if first.position.pulse_length == QUARTER
                && upbeat.is_on_and()
                && upbeat.is_in_pulse_at(*beat)
                && is_same(*next_beat, *beat + QUARTER) =>
        {
            beat_upbeat_ratio(first.second, upbeat.second, next.second).map(f64::log2)
        }
        _ => None,
    };
    onsets.windows(3).zip(beats.windows(3)).filter_map(ratio).collect()
}

const QUARTER: BeatSpan = BeatSpan(1.0);

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked example of a published library's test, read at second hand: beats 0, 1, 2, 3, 4
    /// with upbeats at .5, 1.2, 2.6, 3.5 have ratios 1, .25, 1.5, 1.
    #[test]
    fn the_worked_example() {
        for (beat, upbeat, ratio) in
            [(0.0, 0.5, 1.0), (1.0, 1.2, 0.25), (2.0, 2.6, 1.5), (3.0, 3.5, 1.0)]
        {
            let got = beat_upbeat_ratio(Second(beat), Second(upbeat), Second(beat + 1.0));
            assert!((got.unwrap() - ratio).abs() < 1e-9, "{upbeat}: {got:?}");
        }
    }

    #[test]
    fn what_does_not_follow_has_no_ratio() {
        for [beat, upbeat, next] in [[0.0, 0.0, 1.0], [0.0, 1.0, 1.0], [1.0, 0.5, 2.0]] {
            assert_eq!(beat_upbeat_ratio(Second(beat), Second(upbeat), Second(next)), None);
        }
    }
}
