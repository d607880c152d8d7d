//! The swing of a line's eighths: long against short.
//!
//! Source: the beat-upbeat ratio of Benadon 2006. For every beat with a note on it, exactly one
//! note after that, on its "and", and a note on the next beat: first interval to second, in
//! seconds. 1 is straight, 2 is triplet swing, less than 1 short and long.
//!
//! Means are of the logarithm to base 2, so that 2:1 and 1:2 are alike far from straight.
//! Deviations from the source, which goes by what the ear takes for a pair of eighths: a note is
//! on the "and" where [`crate::reading`] reads it so by all of the take, which is up to a ratio
//! of 3.5 where the whole line swings so, and for a single uneven pair only as far as the line's
//! scatter reaches. And beats are pulses of a quarter
//! note, as for [`crate::phrase::subdivision::step`].

use super::onsets::Onset;
use crate::quantization::PulseSubdivision;
use crate::stats::median;
use crate::stats::sample::Sample;
use crate::time::{BeatSpan, Second, SecondSpan};
use serde::Serialize;

/// The swing of a stretch of music.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Swing {
    /// Logarithms to base 2 of the beat-upbeat ratios.
    pub log2_ratio: Sample,
    /// Their median.
    pub median_log2_ratio: Option<f64>,
}

impl Swing {
    /// Of ratios as [`log2_ratios`] gives them.
    #[must_use]
    pub fn of(mut logarithms: Vec<f64>) -> Self {
        let mut log2_ratio = Sample::default();
        logarithms.iter().for_each(|value| log2_ratio.push(*value));
        let median_log2_ratio = median(&mut logarithms);
        Self { log2_ratio, median_log2_ratio }
    }

    /// The median ratio: a long eighth is this many short ones.
    #[must_use]
    pub fn median_ratio(&self) -> Option<f64> {
        self.median_log2_ratio.map(f64::exp2)
    }
}

/// The beat-upbeat ratio of a beat at `beat`, its upbeat and the next beat: first interval to
/// second. `None` where they do not follow each other.
#[must_use]
pub fn beat_upbeat_ratio(beat: Second, upbeat: Second, next: Second) -> Option<f64> {
    let (SecondSpan(first), SecondSpan(second)) = (upbeat - beat, next - upbeat);
    (first > 0.0 && second > 0.0).then(|| first / second)
}

/// The logarithms to base 2 of the beat-upbeat ratios in the onsets of a phrase, in order.
#[must_use]
pub fn log2_ratios(onsets: &[Onset]) -> Vec<f64> {
    let ratio = |three: &[Onset]| match three {
        [beat, upbeat, next] if is_pair(beat, upbeat, next) => {
            beat_upbeat_ratio(beat.second, upbeat.second, next.second).map(f64::log2)
        }
        _ => None,
    };
    onsets.windows(3).filter_map(ratio).collect()
}

/// Whether three onsets in a row are a beat, its "and" and the next beat.
fn is_pair(beat: &Onset, upbeat: &Onset, next: &Onset) -> bool {
    beat.place.pulse_length == QUARTER
        && beat.stands(PulseSubdivision::On)
        && upbeat.stands(PulseSubdivision::Half)
        && upbeat.follows(beat, BeatSpan(0.0))
        && next.place.subdivision == PulseSubdivision::On
        && next.follows(beat, QUARTER)
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
