//! The metrical weight of each eighth in a bar: the tree of a metre (Longuet-Higgins and Lee 1984).
//!
//! A bar divides into parts, each part into parts again, down to eighths. The bar's first eighth has
//! weight 0. Wherever a part divides, its first part keeps its weight; the others weigh minus the depth
//! of the division.
//!
//! Metres of five, seven and other numbers of pulses have no tree: a signature does not say how they
//! divide (3 + 2 or 2 + 3). Nor have metres whose pulse is no whole number of eighths.

use super::onsets::Onset;
use crate::time::metre::{Division, Metre};

/// The divisions of a bar from the top down; `[2, 2, 2]` for the eighths of 4/4.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid {
    /// The divisions of the bar into pulses, and then of the pulse into eighths.
    divisions: [&'static [usize]; 2],
}

impl Grid {
    /// The eighths of a bar of `metre`; `None` without a tree.
    pub fn eighths(metre: Metre) -> Option<Self> {
        let pulses: &[usize] = match metre.pulses() {
            1 => &[],
            2 => &[2],
            3 => &[3],
            4 => &[2, 2],
            8 => &[2, 2, 2],
            _ => return None,
        };
        let pulse: &[usize] = match (metre.division(), metre.denominator()) {
            (Division::Two, 1) => &[2, 2, 2],
            (Division::Two, 2) => &[2, 2],
            (Division::Two, 4) => &[2],
            (Division::Two, 8) => &[],
            (Division::Three, 2) => &[3, 2, 2],
            (Division::Three, 4) => &[3, 2],
            (Division::Three, 8) => &[3],
            _ => return None,
        };
        Some(Self { divisions: [pulses, pulse] })
    }

    /// A grid of any divisions, from the top down.
    #[cfg(test)]
    pub fn of(divisions: &'static [usize]) -> Self {
        Self { divisions: [divisions, &[]] }
    }

    pub fn steps(&self) -> usize {
        self.divisions().product()
    }

    /// Steps in a pulse of the metre.
    pub fn steps_in_pulse(&self) -> usize {
        let [_, pulse] = self.divisions;
        pulse.iter().product()
    }

    fn divisions(&self) -> impl DoubleEndedIterator<Item = usize> {
        self.divisions.into_iter().flatten().copied()
    }

    /// The step of an onset; of one between two steps the earlier.
    pub fn step(&self, onset: &Onset) -> usize {
        let position = &onset.position;
        let bar = f64::from(u32::try_from(self.steps()).unwrap_or(u32::MAX));
        // The felt pulse may be half or twice the metre's.
        let steps_in_pulse = bar * position.pulse_length.0 / position.bar_length.0;
        let played = || (1..12_u8).rev().find(|t| f64::from(*t) <= onset.in_pulse() * 12.0);
        let twelfths = f64::from(onset.twelfths().or_else(played).unwrap_or(0));
        let before = f64::from(position.pulse) - 1.0;
        let step = (before + twelfths / 12.0) * steps_in_pulse + 1e-9;
        (1..=self.steps()).zip(1_u32..).take_while(|(_, next)| f64::from(*next) <= step).count()
    }
}

/// Calls `visit` with each part of a bar, where parts without a note are not divided. `notes` has for
/// each step of the bar whether a note is struck there.
pub fn parts(grid: &Grid, notes: &[bool], mut visit: impl FnMut(Part)) {
    let divisions: Vec<usize> = grid.divisions().collect();
    divide(&divisions, notes, 0, (0, 0), &mut visit);
}

/// A part of a bar that does not divide further.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    /// Its first step, from 0.
    pub step: usize,
    /// The weight of that step, 0 or less.
    pub weight: i32,
    /// Whether a note is struck there; otherwise it is a rest or tied over.
    pub note: bool,
}

fn divide(
    divisions: &[usize],
    notes: &[bool],
    step: usize,
    (weight, depth): (i32, i32),
    visit: &mut impl FnMut(Part),
) {
    let whole = !notes.contains(&true);
    match divisions.split_first() {
        Some((count, deeper)) if !whole => {
            let length = (notes.len() / (*count).max(1)).max(1);
            let mut step = step;
            for (index, part) in notes.chunks(length).enumerate() {
                let part_weight = if index == 0 { weight } else { -(depth + 1) };
                divide(deeper, part, step, (part_weight, depth + 1), visit);
                step += part.len();
            }
        }
        _ => visit(Part { step, weight, note: !whole }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The weights of Longuet-Higgins and Lee in eighths, as quoted by other authors and computed
    /// with a reference library, equal.
    #[test]
    fn published_weights() {
        for (metre, weights) in [
            ((4, 4), &[0, -3, -2, -3, -1, -3, -2, -3][..]),
            ((2, 2), &[0, -3, -2, -3, -1, -3, -2, -3]),
            ((3, 4), &[0, -2, -1, -2, -1, -2]),
            ((6, 8), &[0, -2, -2, -1, -2, -2]),
            ((9, 8), &[0, -2, -2, -1, -2, -2, -1, -2, -2]),
            ((12, 8), &[0, -3, -3, -2, -3, -3, -1, -3, -3, -2, -3, -3]),
        ] {
            let grid = Grid::eighths(Metre::new(metre.0, metre.1).unwrap()).unwrap();
            let mut got = Vec::new();
            parts(&grid, &vec![true; grid.steps()], |part| got.push(part.weight));
            assert_eq!(got, weights, "{metre:?}");
        }
    }

    #[test]
    fn a_grid_has_as_many_steps_as_the_bar_has_eighths() {
        for numerator in 1..=64 {
            for denominator in [1, 2, 4, 8, 16, 32, 64] {
                let metre = Metre::new(numerator, denominator).unwrap();
                let Some(grid) = Grid::eighths(metre) else { continue };
                let eighths = (1..=grid.steps()).fold(0.0, |sum, _| sum + 0.5);
                assert_eq!(eighths, metre.bar().0, "{metre}");
            }
        }
        for (numerator, denominator) in [(5, 4), (7, 8), (5, 8), (18, 8), (4, 16), (6, 16)] {
            assert_eq!(Grid::eighths(Metre::new(numerator, denominator).unwrap()), None);
        }
    }

    #[test]
    fn a_part_without_notes_is_one() {
        let mut got = Vec::new();
        let notes = [false, true, false, false, false, false, false, false];
        parts(&Grid::of(&[2, 2, 2]), &notes, |part| got.push((part.step, part.weight, part.note)));
        assert_eq!(got, [(0, 0, false), (1, -3, true), (2, -2, false), (4, -1, false)]);
    }
}
