//! The margin of the likeliest path over every path that is elsewhere in the bar. If it is small, the count may be wrong.

use super::lanes::{BINS, Sums};
use super::space::{Space, Step};
use super::{real, whole};

/// A path within this many bins is at the same place in the bar: a quarter of a beat, and up to an eighth for rounding.
const SAME: usize = 2;

/// Frames between comparisons. Every beat has one, unless it is faster than 400 BPM.
const EVERY: usize = 24;

/// The best sums at every n-th frame.
#[derive(Debug, Clone)]
pub(super) struct Margins {
    /// Bins per bar.
    bins: usize,
    /// The largest sum in each bin, a row for each comparison.
    largest: Vec<f32>,
}

impl Margins {
    pub(super) fn new(space: &Space, frames: usize) -> Self {
        let bins = space.beats * BINS;
        Self { bins, largest: Vec::with_capacity(bins * frames.div_ceil(EVERY)) }
    }

    /// Adds the sums after the frame with this number.
    pub(super) fn add(&mut self, space: &Space, number: usize, sums: &Sums) {
        if number.is_multiple_of(EVERY) {
            let from = self.largest.len();
            self.largest.resize(from + self.bins, f32::NEG_INFINITY);
            sums.largest_in_bins(space, self.largest.get_mut(from..).unwrap_or_default());
        }
    }

    /// The margin of each beat as a log-likelihood ratio; that of the beat before for one without a comparison.
    pub(super) fn of(&self, steps: &[Step]) -> Vec<f32> {
        let mut rows = self.largest.chunks_exact(self.bins).zip(0_usize..).peekable();
        let mut newest = f32::INFINITY;
        let ends = steps.iter().skip(1).map(|step| step.frame).chain([f64::INFINITY]);
        let margin = |(step, end): (&Step, f64)| {
            while let Some((row, number)) =
                rows.next_if(|(_, number)| crate::stats::real(number * EVERY) < end)
            {
                let into = crate::stats::real(number * EVERY) - step.frame;
                let bin =
                    whole((into * f64::from(real(BINS)) / crate::stats::real(step.period)).floor());
                newest = self.margin(row, step.beat * BINS + bin.min(BINS - 1));
            }
            newest
        };
        steps.iter().zip(ends).map(margin).collect()
    }

    /// The largest sum around a bin, less the largest elsewhere.
    fn margin(&self, row: &[f32], bin: usize) -> f32 {
        let (mut here, mut elsewhere) = (f32::NEG_INFINITY, f32::NEG_INFINITY);
        for (at, sum) in row.iter().enumerate() {
            let away = (at + self.bins - bin) % self.bins;
            let is_here = away.min(self.bins - away) <= SAME;
            let largest = if is_here { &mut here } else { &mut elsewhere };
            *largest = largest.max(*sum);
        }
        here - elsewhere
    }
}
