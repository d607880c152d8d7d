//! One onset under one belief: the spots it may be on, and how likely each is by all that was
//! heard up to it. Columns follow each other as in a hidden Markov model (Rabiner 1989).

use super::belief::{Belief, Kind};
use super::rate::AtRate;
use super::spot::Spot;
use super::states::{OTHER_CELL, STATES};
use core::f64::consts::TAU;

/// A spot this many standard deviations away is not looked at.
const FARTHEST: f64 = 4.5;

/// A spot less likely than the likeliest by this factor is dropped.
const NEGLIGIBLE: f64 = 1e-3;

/// Correlation of the lateness of neighbouring notes, in the same pulse and from one pulse to
/// the next.
const SAME_PULSE_ALIKE: f64 = 0.5;
const NEXT_PULSE_ALIKE: f64 = 0.17;

/// Most spots an onset is looked at for. A fast pulse with a wide scatter has 25.
pub(super) const WIDTH: usize = 24;

/// A spot that an onset may be on.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Cell {
    /// Index of its state.
    pub state: u8,
    /// Pulses from the one the onset fell in to the one it is meant for.
    pub shift: i8,
    /// How likely, by all that was heard up to here.
    pub so_far: f64,
    /// How well the onset fits it.
    pub fits: f64,
    /// How late it is there, in standard deviations, where deviations go together.
    pub late: f64,
}

/// The spots of one onset, and what they add up to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    cells: [Cell; WIDTH],
    count: usize,
}

impl Default for Column {
    fn default() -> Self {
        Self { cells: [Cell::default(); WIDTH], count: 0 }
    }
}

/// What is asked of a step from one onset to the next.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step<'a> {
    pub spot: &'a Spot,
    pub rate: &'static AtRate,
    /// Pulses since the one that the onset before fell in; `None` for the first.
    pub pulses: Option<i64>,
    /// Whether it begins a phrase.
    pub begins: bool,
}

impl Step<'_> {
    /// How likely a step between two cells is.
    fn likely(&self, from: &Cell, to: &Cell, pulses: i64) -> f64 {
        let pulses = pulses + i64::from(to.shift) - i64::from(from.shift);
        if pulses < 0 {
            0.0
        } else if self.begins {
            self.rate.begin(from.state.into(), to.state.into(), pulses)
        } else {
            together(from.late, to.late, pulses)
                * self.rate.inside(from.state.into(), to.state.into(), pulses)
        }
    }

    fn alone(&self, to: usize) -> f64 {
        if self.begins { self.rate.start(to) } else { self.rate.anywhere(to) }
    }
}

/// How much likelier two notes are late by so much together than each by itself: the density of
/// a normal copula.
fn together(first: f64, second: f64, pulses: i64) -> f64 {
    if first == 0.0 && second == 0.0 {
        return 1.0;
    }
    let alike = match pulses {
        0 => SAME_PULSE_ALIKE,
        1 => NEXT_PULSE_ALIKE,
        _ => return 1.0,
    };
    let rest = 1.0 - alike * alike;
    let squares = alike * alike * (first * first + second * second);
    ((alike * first * second - 0.5 * squares) / rest).exp() / rest.sqrt()
}

impl Column {
    /// Of cells that were a column's.
    pub fn of(cells: &[Cell]) -> Self {
        let mut column = Self::default();
        cells.iter().for_each(|cell| column.push(*cell));
        column
    }

    /// Its cells.
    pub fn cells(&self) -> &[Cell] {
        self.cells.get(..self.count).unwrap_or_default()
    }

    fn push(&mut self, cell: Cell) {
        if let Some(slot) = self.cells.get_mut(self.count) {
            *slot = cell;
            self.count += 1;
        }
    }

    /// The spots where an onset may be, with how well it fits each.
    fn fitting(step: &Step<'_>, belief: &Belief) -> Self {
        let pulse = step.spot.seconds.0;
        let position = step.spot.position();
        let mut column = Self::default();
        let usual = Some(step.rate).filter(|rate| belief.usual && rate.has_shapes());
        let measure = |kind| {
            let expected = belief.expected(kind, pulse);
            (expected.mean, 1.0 / expected.variance.sqrt())
        };
        let (on, and, at) = (measure(Kind::On), measure(Kind::And), measure(Kind::At(0.0)));
        for shift in [0_i8, 1, -1] {
            let after = (position - f64::from(shift)) * pulse;
            let fit = |mean: f64, per: f64| {
                let away = (after - mean) * per;
                let fits = || pulse * per * (-0.5 * away * away).exp() / TAU.sqrt();
                (away.abs() <= FARTHEST).then(|| (fits(), 0.0))
            };
            for ((index, state), possible) in (0..).zip(&STATES).zip(step.rate.possible()) {
                let fits = match (usual, state.kind(step.spot.swings)) {
                    _ if !possible => None,
                    (Some(usual), _) => usual.usual(index.into(), after / pulse - state.place),
                    (None, Kind::On) => fit(on.0, on.1),
                    (None, Kind::And) => fit(and.0, and.1),
                    (None, Kind::At(place)) => fit(at.0 + place * pulse, at.1),
                };
                if let Some((fits, late)) = fits {
                    column.push(Cell { state: index, shift, so_far: 0.0, fits, late });
                }
            }
        }
        column.push(Cell { state: OTHER_CELL, shift: 0, so_far: 0.0, fits: 1.0, late: 0.0 });
        column
    }

    /// The column of the first onset, or of one that follows from nothing.
    pub fn first(step: &Step<'_>, belief: &Belief) -> (Self, f64) {
        let mut column = Self::fitting(step, belief);
        for cell in column.cells.iter_mut().take(column.count) {
            cell.so_far = cell.fits * step.alone(cell.state.into());
        }
        let sum = column.settle();
        (column, sum)
    }

    /// The next column, its likelihood, and how likely each cell of this one was by what has
    /// come after it.
    pub fn next(
        &self,
        step: &Step<'_>,
        belief: &Belief,
        hindsight: &mut [f64; WIDTH],
    ) -> (Self, f64) {
        *hindsight = [0.0; WIDTH];
        let Some(pulses) = step.pulses else { return Self::first(step, belief) };
        let mut column = Self::fitting(step, belief);
        for to in column.cells.iter_mut().take(column.count) {
            let mut sum = 0.0;
            for (from, seen) in self.cells().iter().zip(hindsight.iter_mut()) {
                let joint = from.so_far * step.likely(from, to, pulses) * to.fits;
                sum += joint;
                *seen += joint;
            }
            to.so_far = sum;
        }
        let sum = column.settle();
        if sum <= 0.0 {
            let (column, alone) = Self::first(step, belief);
            for (seen, cell) in hindsight.iter_mut().zip(self.cells()) {
                *seen = cell.so_far;
            }
            return (column, alone * NEGLIGIBLE);
        }
        hindsight.iter_mut().for_each(|seen| *seen /= sum);
        (column, sum)
    }

    /// Drops what is negligible and makes the rest add up to 1. Gives what it added up to.
    fn settle(&mut self) -> f64 {
        let sum: f64 = self.cells().iter().map(|cell| cell.so_far).sum();
        let most = self.cells().iter().map(|cell| cell.so_far).fold(0.0, f64::max);
        let all = *self;
        self.count = 0;
        let mut kept = 0.0;
        for cell in all.cells() {
            if cell.so_far > NEGLIGIBLE * most {
                kept += cell.so_far;
                self.push(*cell);
            }
        }
        for cell in self.cells.iter_mut().take(self.count) {
            cell.so_far /= kept;
        }
        sum
    }

    /// What later onsets say of this one's cells, given what they say of the next one's.
    pub fn look_back(&self, next: &Self, step: &Step<'_>, later: &[f64; WIDTH]) -> [f64; WIDTH] {
        let mut said = [0.0; WIDTH];
        let pulses = step.pulses.unwrap_or_default();
        let mut sum = 0.0;
        for (from, said) in self.cells().iter().zip(said.iter_mut()) {
            for (to, later) in next.cells().iter().zip(later) {
                *said += step.likely(from, to, pulses) * to.fits * later;
            }
            sum += *said * from.so_far;
        }
        if sum <= 0.0 {
            return [1.0; WIDTH];
        }
        said.iter_mut().for_each(|said| *said /= sum);
        said
    }

    /// Its cells with how likely each is, by what was heard up to here and after.
    pub fn with_hindsight<'a>(
        &'a self,
        said: &'a [f64; WIDTH],
    ) -> impl Iterator<Item = (Cell, f64)> + 'a {
        self.cells().iter().zip(said).map(|(cell, said)| (*cell, cell.so_far * said))
    }

    /// Teaches a belief: each cell as far as it is likely.
    pub fn teach(cells: impl Iterator<Item = (Cell, f64)>, spot: &Spot, belief: &mut Belief) {
        /// Less likely cells teach nothing worth the time.
        const LEAST: f64 = 0.02;
        let pulse = spot.seconds.0;
        for (cell, likely) in
            cells.filter(|(cell, likely)| *likely > LEAST && cell.state != OTHER_CELL)
        {
            let Some(state) = STATES.get(usize::from(cell.state)) else { continue };
            let after = (spot.position() - f64::from(cell.shift)) * pulse;
            belief.take(state.kind(spot.swings), after, pulse, likely);
        }
    }
}
