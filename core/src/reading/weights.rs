//! How often each spot is meant, and where notes meant for it fall: `weights.txt`, counted by
//! `tests/fit/fit_places.py`.
//!
//! Lines of the table begin with the set they are of. `usual` is of recorded soloists alone,
//! counted in 212 labelled solos of the Weimar Jazz Database (Pfleiderer and others 2017);
//! `simple` is the mean of that and of invented lines whose places are known; `compound`, for
//! which there is little data, is of invented lines.

use super::states::{COUNT, DIVISIONS, index};
use crate::metre::Division;
use std::sync::LazyLock;

const TABLE: &str = include_str!("weights.txt");

/// The least probability that a pulse is left after a step.
const UNLIKELY: f64 = 0.002;

/// A shape is a density over how far a note falls from its spot: so many bins, so many of which
/// make a pulse, at these rates in pulses a minute.
pub(super) const BINS: usize = 20;
pub(super) const BINS_A_PULSE: f64 = 32.0;
pub(super) const RATES: usize = 3;
pub(super) const SHAPE_RATES: [f64; RATES] = [105.0, 170.0, 250.0];

/// A density.
pub(super) type Shape = [f64; BINS];

/// The logarithm of a weight at the reference rate, and its growth with the logarithm of the
/// rate.
pub(super) type Line = (f64, f64);

/// One set of the table.
#[derive(Debug, Clone)]
pub(super) struct Weights {
    /// How often a pulse divides so, by index of the division.
    pub enter: [Option<Line>; 6],
    /// How much more often one does that follows one of the same division, as a logarithm.
    pub persist: f64,
    /// How often the next note is one pulse on, two, or more.
    pub gap: [f64; 3],
    /// How often a step is the first that is played in a pulse.
    pub first: [f64; COUNT],
    /// How often a step is followed by another in the same pulse.
    pub step: [[f64; COUNT]; COUNT],
    /// How often by none.
    pub leave: [f64; COUNT],
    /// How often a phrase starts on it.
    pub start: [Option<Line>; COUNT],
    /// Where its notes fall, by state and rate; empty where that is not known.
    pub shapes: Vec<[Shape; RATES]>,
}

static USUAL: LazyLock<Weights> = LazyLock::new(|| Weights::parse("usual"));
static SIMPLE: LazyLock<Weights> = LazyLock::new(|| Weights::parse("simple"));
static COMPOUND: LazyLock<Weights> = LazyLock::new(|| Weights::parse("compound"));

impl Weights {
    /// Those of a pulse that divides so, as usual players play it or as any one player may.
    pub fn of(kind: Division, usual: bool) -> &'static Self {
        match kind {
            Division::Two if usual => &USUAL,
            Division::Two => &SIMPLE,
            Division::Three => &COMPOUND,
        }
    }

    fn parse(set: &str) -> Self {
        let mut all = Self {
            enter: [None; 6],
            persist: 0.0,
            gap: [0.0; 3],
            first: [0.0; COUNT],
            step: [[0.0; COUNT]; COUNT],
            leave: [1.0; COUNT],
            start: [None; COUNT],
            shapes: Vec::new(),
        };
        for (name, numbers) in rows(set) {
            // The test below holds the table to what is known here.
            let _understood = all.take(name, &numbers);
        }
        for (leave, steps) in all.leave.iter_mut().zip(&all.step) {
            *leave = (1.0 - steps.iter().sum::<f64>()).max(UNLIKELY);
        }
        all
    }

    fn take(&mut self, name: &str, numbers: &[f64]) -> Option<()> {
        match (name, numbers) {
            ("enter", [parts, at, growth]) => {
                let division = DIVISIONS.iter().position(|d| f64::from(*d) == *parts)?;
                *self.enter.get_mut(division)? = Some((*at, *growth));
            }
            ("persist", [persist]) => self.persist = *persist,
            ("gap", [one, two, more]) => self.gap = [*one, *two, *more],
            ("first", [parts, step, share]) => {
                *self.first.get_mut(state(*parts, *step)?)? = *share;
            }
            ("step", [parts, from, to, share]) => {
                let (from, to) = (state(*parts, *from)?, state(*parts, *to)?);
                *self.step.get_mut(from)?.get_mut(to)? = *share;
            }
            ("start", [parts, step, at, growth]) => {
                *self.start.get_mut(state(*parts, *step)?)? = Some((*at, *growth));
            }
            ("shape", [parts, step, rate, densities @ ..]) => {
                self.shapes.resize(COUNT, [[0.0; BINS]; RATES]);
                let rate = (0..RATES).zip([0.0, 1.0, 2.0]).find(|(_, r)| r == rate)?.0;
                let shape = self.shapes.get_mut(state(*parts, *step)?)?.get_mut(rate)?;
                *shape = densities.try_into().ok()?;
            }
            _ => return None,
        }
        Some(())
    }
}

fn rows(set: &str) -> impl Iterator<Item = (&'static str, Vec<f64>)> {
    TABLE.lines().filter_map(move |line| {
        let mut words = line.split_whitespace();
        if words.next()? != set {
            return None;
        }
        Some((words.next()?, words.filter_map(|word| word.parse().ok()).collect()))
    })
}

fn state(parts: f64, step: f64) -> Option<usize> {
    let whole = |number: f64| (0..=8_u8).find(|n| f64::from(*n) == number);
    index(whole(parts)?, whole(step)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_understood() {
        let mut understood = 0;
        for set in ["usual", "simple", "compound"] {
            let mut weights = Weights::parse(set);
            for (name, numbers) in rows(set) {
                assert_eq!(weights.take(name, &numbers), Some(()), "{set} {name} {numbers:?}");
                understood += 1;
            }
            assert!(weights.gap.iter().sum::<f64>() > 0.99, "{set}");
        }
        let rows = TABLE.lines().filter(|line| !line.starts_with('#')).count();
        assert_eq!(rows, understood);
        assert_eq!(USUAL.shapes.len(), COUNT);
    }
}
