//! Log-likelihoods of the Viterbi path, four beats of the bar at a time.
//!
//! The sums and their order are those of visiting the cells one by one, so results are identical, ties
//! included. It halves the time for an hour of beats.

use super::space::{Cell, Space};

/// Beats computed together: every processor adds four numbers in one instruction.
const LANES: usize = 4;

/// One number for each of four beats.
type Lanes = [f32; LANES];

/// Bins per beat, in each of which the largest sum is reported.
pub(super) const BINS: usize = 8;

/// For a beat that the bar does not have.
const NEVER: Lanes = [f32::NEG_INFINITY; LANES];

/// No evidence for any beat.
const NOTHING: Lanes = [0.0; LANES];

/// The log-likelihood of the best path to each cell.
///
/// Cells are in rows: tempo by tempo, and within a tempo four beats to a row. A row has a cell for each
/// frame of a beat.
#[derive(Debug, Clone)]
pub(super) struct Sums {
    cells: Vec<Lanes>,
    /// The cells of the frame before.
    before: Vec<Lanes>,
    /// For each row: sums that leave the beats before, and sums that enter its own.
    leaving: Vec<Lanes>,
    entering: Vec<Lanes>,
    /// The place in the beat that each cell of `before` moves on to.
    next_places: Vec<u8>,
    /// The evidence for each place, four beats to a row.
    evidence: Vec<Lanes>,
    /// Rows per tempo.
    rows: usize,
    /// The largest sum of each tempo.
    largest: Vec<f32>,
}

impl Sums {
    /// `starts` has the initial sum of each cell, in the order of the space.
    pub(super) fn new(space: &Space, starts: &[f32]) -> Self {
        let rows = space.beats.div_ceil(LANES);
        let length: usize = space.periods.iter().map(|period| period * rows).sum();
        let place = |frame: usize, period: usize| u8::try_from(frame * space.in_beat / period);
        let next = |period: usize| (1..=period).map(move |frame| place(frame, period).unwrap_or(0));
        let of_rows = |period: &usize| core::iter::repeat_n(*period, rows);
        let mut sums = Self {
            cells: vec![NEVER; length],
            before: vec![NEVER; length],
            leaving: vec![NEVER; rows * space.tempos()],
            entering: vec![NEVER; rows * space.tempos()],
            next_places: space.periods.iter().flat_map(of_rows).flat_map(next).collect(),
            evidence: vec![NOTHING; rows * space.in_beat],
            rows,
            largest: vec![f32::NEG_INFINITY; space.tempos()],
        };
        let mut starts = starts.iter();
        sums.each(space, |sum, _| *sum = starts.next().copied().unwrap_or(f32::NEG_INFINITY));
        sums
    }

    /// Visits all cells in the order of the space.
    fn each(&mut self, space: &Space, mut of: impl FnMut(&mut f32, &Cell)) {
        let mut known = space.cells.iter();
        let mut rest = self.cells.as_mut_slice();
        for period in &space.periods {
            let Some((tempo, others)) = rest.split_at_mut_checked(period * self.rows) else {
                break;
            };
            for beat in 0..space.beats {
                let row = tempo.iter_mut().skip(beat / LANES * period).take(*period);
                let sums = row.filter_map(|lanes| lanes.get_mut(beat % LANES));
                // The row first: a zip that begins with the cells would use up one too many.
                sums.zip(known.by_ref()).for_each(|(sum, cell)| of(sum, cell));
            }
            rest = others;
        }
    }

    /// Adds to each cell.
    pub(super) fn change(&mut self, space: &Space, by: impl Fn(&Cell) -> f32) {
        self.each(space, |sum, cell| *sum += by(cell));
    }

    /// Raises each of the `bins`, [`BINS`] to a beat, to the largest sum in it.
    pub(super) fn largest_in_bins(&self, space: &Space, bins: &mut [f32]) {
        let mut rest = self.cells.as_slice();
        for period in &space.periods {
            for row in 0..self.rows {
                let Some((frames, others)) = rest.split_at_checked(*period) else { return };
                let mut largest = [NEVER; BINS];
                for (frame, sums) in frames.iter().enumerate() {
                    let Some(bin) = largest.get_mut(frame * BINS / period) else { continue };
                    bin.iter_mut().zip(sums).for_each(|(bin, sum)| *bin = bin.max(*sum));
                }
                for (beat, lane) in (row * LANES..space.beats).zip(0..LANES) {
                    let bins = bins.iter_mut().skip(beat * BINS).zip(&largest);
                    bins.for_each(|(bin, sums)| {
                        *bin = bin.max(sums.get(lane).copied().unwrap_or(f32::NEG_INFINITY));
                    });
                }
                rest = others;
            }
        }
    }

    /// Subtracts the largest sum from all, so that they stay small.
    pub(super) fn rescale(&mut self) {
        let largest = self.cells.iter().flatten().copied().fold(f32::NEG_INFINITY, f32::max);
        self.cells.iter_mut().flatten().for_each(|sum| *sum -= largest);
    }

    /// The sums in the order of the space.
    pub(super) fn in_order(mut self, space: &Space) -> Vec<f32> {
        let mut sums = Vec::with_capacity(space.cells.len());
        self.each(space, |sum, _| sums.push(*sum));
        sums
    }

    /// Finds the best previous tempo for each beat and tempo, and appends them to `from`, beat by beat.
    pub(super) fn enter(&mut self, space: &Space, changes: &[f32], from: &mut Vec<u8>) {
        self.leave(space);
        let tempos = space.tempos();
        let start = from.len();
        from.resize(start + space.beats * tempos, 0);
        let kept = from.get_mut(start..).unwrap_or_default();
        for (tempo, entering) in self.entering.chunks_exact_mut(self.rows).enumerate() {
            for (row, entering) in entering.iter_mut().enumerate() {
                let leaving = self.leaving.iter().skip(row).step_by(self.rows);
                let change = changes.iter().skip(tempo).step_by(tempos);
                let (mut largest, mut value) = ([0_u32; LANES], NEVER);
                for ((left, change), tempo) in leaving.zip(change).zip(0..) {
                    for ((largest, value), left) in largest.iter_mut().zip(&mut value).zip(left) {
                        let sum = left + change;
                        let is_better = sum > *value;
                        *largest = if is_better { tempo } else { *largest };
                        *value = if is_better { sum } else { *value };
                    }
                }
                *entering = value;
                for (beat, largest) in (row * LANES..space.beats).zip(largest) {
                    if let Some(kept) = kept.get_mut(beat * tempos + tempo) {
                        *kept = u8::try_from(largest).unwrap_or(u8::MAX);
                    }
                }
            }
        }
    }

    /// Moves the sum at the end of each beat to the start of the next one.
    fn leave(&mut self, space: &Space) {
        let mut end = 0;
        for (period, leaving) in space.periods.iter().zip(self.leaving.chunks_exact_mut(self.rows))
        {
            for beat in 0..space.beats {
                let next = (beat + 1) % space.beats;
                let last = self.cells.get(end + (beat / LANES + 1) * period - 1);
                let last = last.and_then(|lanes| lanes.get(beat % LANES)).copied();
                let place = leaving.get_mut(next / LANES).and_then(|row| row.get_mut(next % LANES));
                if let (Some(last), Some(place)) = (last, place) {
                    *place = last;
                }
            }
            end += period * self.rows;
        }
    }

    /// Moves all cells on by one frame and adds the `evidence` for their places. Returns the likeliest place, of
    /// equals the first in the order of the space.
    pub(super) fn advance(&mut self, space: &Space, evidence: &[f32]) -> usize {
        for (beat, places) in evidence.chunks_exact(space.in_beat).enumerate() {
            let rows = self.evidence.iter_mut().skip(beat / LANES * space.in_beat);
            let lanes = rows.filter_map(|lanes| lanes.get_mut(beat % LANES));
            lanes.zip(places).for_each(|(lane, place)| *lane = *place);
        }
        core::mem::swap(&mut self.cells, &mut self.before);
        let (mut cells, mut before) = (self.cells.as_mut_slice(), self.before.as_slice());
        let mut next_places = self.next_places.as_slice();
        let entering = self.entering.chunks_exact(self.rows);
        for ((period, largest), entering) in
            space.periods.iter().zip(&mut self.largest).zip(entering)
        {
            let mut by_lane = NEVER;
            for (entering, evidence) in
                entering.iter().zip(self.evidence.chunks_exact(space.in_beat))
            {
                let rest = core::mem::take(&mut cells);
                let Some((row, other_cells)) = rest.split_at_mut_checked(*period) else { break };
                let (was, others_before) = before.split_at_checked(*period).unwrap_or_default();
                let (places, other_places) =
                    next_places.split_at_checked(*period).unwrap_or_default();
                let Some((first, later)) = row.split_first_mut() else { break };
                let at = |place: u8| evidence.get(usize::from(place)).unwrap_or(&NOTHING);
                set(first, entering, at(0), &mut by_lane);
                for ((cell, was), place) in later.iter_mut().zip(was).zip(places) {
                    set(cell, was, at(*place), &mut by_lane);
                }
                (cells, before, next_places) = (other_cells, others_before, other_places);
            }
            *largest = by_lane.into_iter().fold(f32::NEG_INFINITY, f32::max);
        }
        self.likeliest(space)
    }

    /// The first place with the largest sum.
    fn likeliest(&self, space: &Space) -> usize {
        let largest = self.largest.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        let mut tempos = space.periods.iter().zip(&self.largest);
        let mut before = 0;
        let found = tempos.find(|(period, of_tempo)| {
            let is_here = **of_tempo == largest;
            before += if is_here { 0 } else { *period * self.rows };
            is_here
        });
        let period = found.map_or(1, |(period, _)| *period);
        let of_beat = |beat: usize| {
            let row = self.cells.iter().skip(before + beat / LANES * period).take(period);
            let frame =
                row.map(|lanes| lanes.get(beat % LANES)).position(|sum| sum == Some(&largest));
            frame.map(|frame| beat * space.in_beat + frame * space.in_beat / period)
        };
        (0..space.beats).find_map(of_beat).unwrap_or(0)
    }
}

/// Sets four cells to their sums a frame ago plus the evidence, and updates the largest.
fn set(cell: &mut Lanes, was: &Lanes, evidence: &Lanes, largest: &mut Lanes) {
    for (((sum, was), evidence), largest) in cell.iter_mut().zip(was).zip(evidence).zip(largest) {
        *sum = was + evidence;
        *largest = if *sum > *largest { *sum } else { *largest };
    }
}
