//! The whole take read once more, when it is over: lag, swing and scatter are estimated over all
//! of it by expectation and maximisation (Dempster, Laird and Rubin 1977), and every note is read
//! by them.

use super::belief::Belief;
use super::column::{Cell, Column, Step, WIDTH};
use super::decide::{Reading, decide};
use super::rate::AtRate;
use super::reader::{Fed, PlaceReader};
use crate::time::SecondSpan;

/// How often the whole is read.
const ROUNDS: usize = 5;

/// A player's timing over a take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Timing {
    /// Lag on the beat in seconds, late is positive, and its standard error.
    pub lag: (f64, f64),
    /// Place of the "and" in the pulse, where the lag is taken off, and its standard error.
    pub and: (f64, f64),
    /// Standard deviation of onsets from where they are expected, in seconds.
    pub scatter: SecondSpan,
}

impl Timing {
    /// Long eighth to short; 1 is straight.
    #[must_use]
    pub fn swing_ratio(&self) -> f64 {
        self.and.0 / (1.0 - self.and.0)
    }

    fn of(belief: &Belief) -> Self {
        Self { lag: belief.lag(), and: belief.and(), scatter: SecondSpan(belief.scatter()) }
    }
}

/// What the whole take says.
#[derive(Debug, Clone, PartialEq)]
pub struct Whole {
    /// The readings of all onsets.
    pub readings: Vec<Reading>,
    /// The player's timing.
    pub timing: Timing,
}

impl PlaceReader {
    /// The timing as believed so far.
    #[must_use]
    pub fn timing(&self) -> Timing {
        Timing::of(&self.best_belief())
    }

    /// Reads the whole take once more.
    #[must_use]
    pub fn whole(&self) -> Whole {
        let (usual, own): (Vec<Belief>, Vec<Belief>) =
            self.living().map(|track| track.belief).partition(|belief| belief.usual);
        let own = if own.is_empty() { self.own_beliefs() } else { own };
        let fit = |beliefs: Vec<Belief>| {
            let tried = beliefs.iter().map(|belief| refine(self.fed(), belief));
            tried.max_by(|a, b| a.likelihood.total_cmp(&b.likelihood))
        };
        let (usual, own) = (fit(usual), fit(own));
        // However the notes are read, the timing is the player's own.
        let timing = own.as_ref().map_or_else(|| self.timing(), |own| Timing::of(&own.belief));
        let best = usual.into_iter().chain(own);
        let Some(best) = best.max_by(|a, b| a.likelihood.total_cmp(&b.likelihood)) else {
            return Whole { readings: Vec::new(), timing };
        };
        let swung = self.swings(&best.belief);
        Whole { readings: best.pass.readings(self.fed(), swung), timing }
    }
}

struct Refined {
    belief: Belief,
    likelihood: f64,
    pass: Pass,
}

fn refine(fed: &[Fed], start: &Belief) -> Refined {
    let mut belief = *start;
    let mut round = 0;
    loop {
        let mut pass = Pass::forward(fed, &belief);
        pass.backward(fed, belief.usual);
        let likelihood = pass.likelihood;
        round += 1;
        if round >= ROUNDS || belief.usual {
            return Refined { belief, likelihood, pass };
        }
        let mut next = belief.afresh();
        for (index, fed) in fed.iter().enumerate() {
            Column::teach(pass.cells(index), &fed.spot, &mut next);
        }
        belief = next;
    }
}

/// One reading of a whole take.
pub(super) struct Pass {
    pub(super) cells: Vec<Cell>,
    pub(super) said: Vec<f64>,
    /// Where the cells of each onset end.
    pub(super) ends: Vec<usize>,
    likelihood: f64,
}

impl Pass {
    pub(super) fn forward(fed: &[Fed], belief: &Belief) -> Self {
        let mut pass =
            Self { cells: Vec::new(), said: Vec::new(), ends: Vec::new(), likelihood: 0.0 };
        let mut column = Column::default();
        let mut unused = [0.0; WIDTH];
        let mut last: Option<&Fed> = None;
        for fed in fed {
            let step = step(last, fed, belief.usual);
            let (next, likelihood) = column.next(&step, belief, &mut unused);
            pass.likelihood += likelihood.max(1e-300).ln() + belief.bias();
            pass.cells.extend(next.cells());
            pass.ends.push(pass.cells.len());
            column = next;
            last = Some(fed);
        }
        pass
    }

    fn column(&self, onset: usize) -> Column {
        Column::of(self.range(onset))
    }

    fn range(&self, onset: usize) -> &[Cell] {
        let (from, to) = self.bounds(onset);
        self.cells.get(from..to).unwrap_or_default()
    }

    fn bounds(&self, onset: usize) -> (usize, usize) {
        let before = onset.checked_sub(1).and_then(|before| self.ends.get(before));
        let from = before.copied().unwrap_or_default();
        (from, self.ends.get(onset).copied().unwrap_or(from))
    }

    pub(super) fn backward(&mut self, fed: &[Fed], usual: bool) {
        self.said = vec![1.0; self.cells.len()];
        let mut said = [1.0; WIDTH];
        for (index, pair) in fed.windows(2).enumerate().rev() {
            let [from, to] = pair else { continue };
            let step = step(Some(from), to, usual);
            said = self.column(index).look_back(&self.column(index + 1), &step, &said);
            let (first, end) = self.bounds(index);
            for (slot, said) in self.said.iter_mut().take(end).skip(first).zip(said) {
                *slot = said;
            }
        }
    }

    fn cells(&self, onset: usize) -> impl Iterator<Item = (Cell, f64)> {
        let (from, to) = self.bounds(onset);
        let cells = self.cells.get(from..to).unwrap_or_default();
        let said = self.said.get(from..to).unwrap_or_default();
        cells.iter().zip(said).map(|(cell, said)| (*cell, cell.so_far * said))
    }

    pub(super) fn readings(&self, fed: &[Fed], swung: bool) -> Vec<Reading> {
        let read = |(index, fed): (usize, &Fed)| decide(self.cells(index), &fed.spot, swung, true);
        fed.iter().enumerate().map(read).collect()
    }
}

fn step<'a>(before: Option<&Fed>, fed: &'a Fed, usual: bool) -> Step<'a> {
    let spot = &fed.spot;
    let pulses = before.map(|before| spot.pulses_since(&before.spot));
    Step { spot, rate: AtRate::of(spot, usual), pulses, begins: fed.begins }
}
