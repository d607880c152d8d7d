//! The ways in which the notes of one beat may lie on its equal parts.

use crate::metre::Division;
use crate::slot::Slot;

/// Most notes of a beat that are read together.
pub(super) const MOST: usize = 12;

/// Notes on the parts of a beat.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lying {
    parts: usize,
    steps: [usize; MOST],
}

impl Lying {
    /// Lays notes, in order and in pulses from their beat, on different ones of `parts` parts, with
    /// the least sum of squared distances. `None` where there are too few parts, or too many notes.
    pub fn of(onsets: &[f64], parts: usize) -> Option<Self> {
        if onsets.is_empty() || onsets.len() > parts || parts > MOST {
            return None;
        }
        // The least sum so far with a note on each part, and the part of the note before.
        let mut sums = [0.0; MOST];
        let mut before = [[0; MOST]; MOST];
        for (row, onset) in onsets.iter().enumerate() {
            let (mut least, mut on) = (if row == 0 { 0.0 } else { f64::INFINITY }, 0);
            for (part, sum) in sums.iter_mut().enumerate().take(parts) {
                let (so_far, away) = (*sum, onset - share(part, parts));
                *sum = least + away * away;
                if let Some(from) = before.get_mut(row).and_then(|row| row.get_mut(part)) {
                    *from = on;
                }
                if row > 0 && so_far < least {
                    (least, on) = (so_far, part);
                }
            }
        }
        let sums = sums.iter().enumerate().take(parts);
        let mut part = sums.min_by(|a, b| a.1.total_cmp(b.1))?.0;
        let mut steps = [0; MOST];
        for row in (0..onsets.len()).rev() {
            *steps.get_mut(row)? = part;
            part = *before.get(row)?.get(part)?;
        }
        Some(Self { parts, steps })
    }

    /// How many parts there are.
    pub fn parts(&self) -> usize {
        self.parts
    }

    /// The part each note lies on, from 0; as many as there are notes, and more.
    pub fn steps(&self) -> &[usize] {
        &self.steps
    }

    /// The place of a part in the beat, from 0 to below 1.
    pub fn place(&self, step: usize) -> f64 {
        share(step, self.parts)
    }

    /// The spot by which note `note` of `notes` is called. The last third of a beat whose second
    /// third is not played is the "and" in swing.
    pub fn slot(&self, note: usize, notes: usize, swings: bool) -> Slot {
        let step = self.steps.get(note).copied().unwrap_or_default();
        let played = self.steps.iter().take(notes);
        match (step * 12).checked_div(self.parts) {
            _ if !(step * 12).is_multiple_of(self.parts) => Slot::Other,
            Some(0) => Slot::On,
            Some(3) => Slot::Quarter,
            Some(4) => Slot::Third,
            Some(6) => Slot::Half,
            Some(8) if swings && !played.into_iter().any(|s| 3 * s == self.parts) => Slot::Half,
            Some(8) => Slot::TwoThirds,
            Some(9) => Slot::ThreeQuarters,
            _ => Slot::Other,
        }
    }
}

/// Whether the notes of such beats are read together: in compound metres each is read by itself,
/// as there is little to fit a model to.
pub(super) fn together(division: Division) -> bool {
    division == Division::Two
}

#[expect(clippy::cast_precision_loss, reason = "numbers up to 12")]
pub(super) fn share(step: usize, parts: usize) -> f64 {
    step as f64 / parts as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_lie_on_the_nearest_parts_in_order() {
        let steps = |onsets: &[f64], parts| {
            Lying::of(onsets, parts).map(|lying| lying.steps()[..onsets.len()].to_vec())
        };
        assert_eq!(steps(&[0.02, 0.31, 0.7], 3), Some(vec![0, 1, 2]));
        assert_eq!(steps(&[0.02, 0.31, 0.7], 4), Some(vec![0, 1, 3]));
        // No two on one part, none beyond the last.
        assert_eq!(steps(&[0.01, 0.1], 2), Some(vec![0, 1]));
        assert_eq!(steps(&[0.95], 2), Some(vec![1]));
        assert_eq!((steps(&[0.0, 0.5], 1), steps(&[], 2)), (None, None));
    }

    #[test]
    fn the_lone_last_third_is_the_and_of_swing() {
        let slots = |onsets: &[f64], parts, swings| {
            let lying = Lying::of(onsets, parts).unwrap();
            (0..onsets.len()).map(|n| lying.slot(n, onsets.len(), swings)).collect::<Vec<_>>()
        };
        use Slot::{Half, On, Other, Quarter, Third, TwoThirds};
        assert_eq!(slots(&[0.0, 0.66], 3, true), [On, Half]);
        assert_eq!(slots(&[0.0, 0.66], 3, false), [On, TwoThirds]);
        assert_eq!(slots(&[0.0, 0.33, 0.66], 3, true), [On, Third, TwoThirds]);
        assert_eq!(slots(&[0.25, 0.5], 4, true), [Quarter, Half]);
        assert_eq!(slots(&[0.2], 5, true), [Other]);
    }
}
