//! By how much the likeliest path beats every path that is elsewhere in the bar: a small margin means that the count may be
//! wrong.

use super::lanes::{CELLS, Sums};
use super::space::{Space, Step};
use super::{real, whole};

/// A path within this many cells is at the same place in the bar: a quarter of a beat, and up to an eighth for rounding.
const SAME: usize = 2;

/// Frames between comparisons. Every beat has one, unless it is faster than 400 BPM.
const EVERY: usize = 24;

/// The best sums at every n-th frame.
#[derive(Debug, Clone)]
pub(super) struct Margins {
    /// Cells per bar.
    cells: usize,
    /// The largest sum in each cell, a row for each comparison.
    largest: Vec<f32>,
}

impl Margins {
    pub(super) fn new(space: &Space, frames: usize) -> Self {
        let cells = space.beats * CELLS;
        Self { cells, largest: Vec::with_capacity(cells * frames.div_ceil(EVERY)) }
    }

    /// Adds the sums after the frame with this number.
    pub(super) fn add(&mut self, space: &Space, number: usize, sums: &Sums) {
        if number.is_multiple_of(EVERY) {
            let from = self.largest.len();
            self.largest.resize(from + self.cells, f32::NEG_INFINITY);
            sums.largest_in_cells(space, self.largest.get_mut(from..).unwrap_or_default());
        }
    }

    /// The margin of each beat as a log-likelihood ratio; that of the beat before for one without a comparison.
    pub(super) fn of(&self, steps: &[Step]) -> Vec<f32> {
        let mut rows = self.largest.chunks_exact(self.cells).zip(0_usize..).peekable();
        let mut newest = f32::INFINITY;
        let ends = steps.iter().skip(1).map(|step| step.frame).chain([f64::INFINITY]);
        let margin = |(step, end): (&Step, f64)| {
            while let Some((row, number)) =
                rows.next_if(|(_, number)| crate::stats::real(number * EVERY) < end)
            {
                let into = crate::stats::real(number * EVERY) - step.frame;
                let cell = whole(
                    (into * f64::from(real(CELLS)) / crate::stats::real(step.period)).floor(),
                );
                newest = self.margin(row, step.beat * CELLS + cell.min(CELLS - 1));
            }
            newest
        };
        steps.iter().zip(ends).map(margin).collect()
    }

    /// The largest sum around a cell, less the largest elsewhere.
    fn margin(&self, row: &[f32], cell: usize) -> f32 {
        let (mut here, mut elsewhere) = (f32::NEG_INFINITY, f32::NEG_INFINITY);
        for (at, sum) in row.iter().enumerate() {
            let away = (at + self.cells - cell) % self.cells;
            let is_here = away.min(self.cells - away) <= SAME;
            let largest = if is_here { &mut here } else { &mut elsewhere };
            *largest = largest.max(*sum);
        }
        here - elsewhere
    }
}
