//! Assigns the notes of one beat to its equal parts.

use super::packed_indices::{MAX_NOTES, PackedIndices};
use crate::quantization::subdivision::PulseSubdivision;
use crate::time::metre::Division;
use core::array::from_fn;
use std::sync::LazyLock;

/// A note this late for a part, as a share of a part, belongs to the next one.
/// Origin: no label of the Weimar Jazz Database (Pfleiderer and others 2017) has a note later for its
/// part than .55, and at .55 labels differ.
const NEXT: f64 = 0.5501;

/// The divisions for exact notes: thirds and quarters.
const EXACT_PARTS: [u8; 6] = [1, 2, 3, 4, 6, 12];

/// The notes of a beat on its parts.
#[derive(Debug, Clone, Copy)]
pub(super) struct GridAssignment {
    parts: u8,
    steps: PackedIndices,
}

impl GridAssignment {
    /// Assigns notes, in order and in pulses from their beat, to different ones of `parts` parts with the
    /// least sum of squared distances. `None` with too few parts or too many notes.
    pub fn of(onsets: &[f64], parts: u8) -> Option<Self> {
        if onsets.is_empty() || onsets.len() > usize::from(parts) || usize::from(parts) > MAX_NOTES
        {
            return None;
        }
        if let Some(steps) = nearest(onsets, parts) {
            return Some(Self { parts, steps });
        }
        // Dynamic programming: the least sum with the current note on each part, and the part of the note before.
        let mut sums = [0.0; MAX_NOTES];
        let mut before = [[0; MAX_NOTES]; MAX_NOTES];
        for (row, (onset, before)) in onsets.iter().zip(&mut before).enumerate() {
            let (mut least, mut on) = (if row == 0 { 0.0 } else { f64::INFINITY }, 0);
            for ((part, sum), before) in (0..parts).zip(&mut sums).zip(before) {
                let (so_far, away) = (*sum, onset - share(part, parts));
                *sum = least + away * away;
                *before = on;
                if row > 0 && so_far < least {
                    (least, on) = (so_far, part);
                }
            }
        }
        let mut part = (0..parts).zip(sums).min_by(|a, b| a.1.total_cmp(&b.1))?.0;
        let mut steps = PackedIndices::default();
        for (note, before) in before.iter().enumerate().take(onsets.len()).rev() {
            steps = steps.with(note, part);
            part = *before.get(usize::from(part))?;
        }
        Some(Self { parts, steps })
    }

    /// Assigns notes, in order and in pulses from their beat, each to the nearest of `parts` parts that is
    /// after the part of the note before. `None` if there is no such part, or with too many notes.
    pub fn each_nearest(onsets: &[f64], parts: u8) -> Option<Self> {
        let (mut steps, mut free) = (PackedIndices::default(), 0);
        if onsets.is_empty() || onsets.len() > MAX_NOTES.min(usize::from(parts)) {
            return None;
        }
        for (note, onset) in onsets.iter().enumerate() {
            let step = whole(onset * f64::from(parts) + 1.0 - NEXT).max(free);
            if step >= parts {
                return None;
            }
            steps = steps.with(note, step);
            free = step + 1;
        }
        Some(Self { parts, steps })
    }

    /// Assigns notes to the fewest parts such that each is nearer to its part than `near`, if possible.
    pub fn exact(onsets: &[f64], near: f64) -> Option<Self> {
        let is_near = |assignment: &Self| {
            let mut away = onsets
                .iter()
                .zip(assignment.steps.iter())
                .map(|(on, step)| on - assignment.position(step));
            away.all(|away| away.abs() < near)
        };
        EXACT_PARTS.into_iter().filter_map(|parts| Self::of(onsets, parts)).find(is_near)
    }

    pub fn parts(&self) -> u8 {
        self.parts
    }

    /// The part of each note, from 0, with zeros after the last note.
    pub fn steps(&self) -> impl Iterator<Item = u8> {
        self.steps.iter()
    }

    /// The position of a part in the beat, from 0 to below 1.
    pub fn position(&self, step: u8) -> f64 {
        share(step, self.parts)
    }

    /// The subdivision of note `note` of `notes`. In swing, the last third of a beat is the "and" if the
    /// second third is not played.
    pub fn subdivision(&self, note: usize, notes: usize, swings: bool) -> PulseSubdivision {
        let twelfths = u16::from(self.steps.get(note)) * 12;
        let parts = u16::from(self.parts);
        let mut played = self.steps.iter().take(notes).map(u16::from);
        match twelfths.checked_div(parts) {
            _ if !twelfths.is_multiple_of(parts) => PulseSubdivision::Other,
            Some(0) => PulseSubdivision::On,
            Some(3) => PulseSubdivision::Quarter,
            Some(4) => PulseSubdivision::Third,
            Some(6) => PulseSubdivision::Half,
            Some(8) if swings && !played.any(|step| 3 * step == parts) => PulseSubdivision::Half,
            Some(8) => PulseSubdivision::TwoThirds,
            Some(9) => PulseSubdivision::ThreeQuarters,
            _ => PulseSubdivision::Other,
        }
    }
}

/// Whether the notes of a beat are quantized together. Not in compound metres, where there is too little
/// data to fit a model.
pub(super) fn together(division: Division) -> bool {
    division == Division::Two
}

/// The nearest part of each note, the earlier one on a tie; `None` if notes share one.
fn nearest(onsets: &[f64], parts: u8) -> Option<PackedIndices> {
    let (mut steps, mut free) = (PackedIndices::default(), 0);
    for (note, onset) in onsets.iter().enumerate() {
        let at = onset * f64::from(parts);
        let later = whole(at + 0.5);
        let step = if f64::from(later) - at == 0.5 { later.saturating_sub(1) } else { later };
        let step = step.min(parts.saturating_sub(1));
        if step < free {
            return None;
        }
        steps = steps.with(note, step);
        free = step + 1;
    }
    Some(steps)
}

const MAX_PARTS: usize = 20;

/// Where each part begins, by number of parts: a table because division is slow.
static SHARES: LazyLock<[[f64; MAX_PARTS]; MAX_PARTS + 1]> = LazyLock::new(|| {
    let count = |n| u8::try_from(n).map_or(0.0, f64::from);
    from_fn(|parts| from_fn(|step| if step < parts { count(step) / count(parts) } else { 0.0 }))
});

/// Where part `step` of `parts` begins, from 0 to below 1; 0 if there is no such part.
fn share(step: u8, parts: u8) -> f64 {
    let shares = SHARES.get(usize::from(parts));
    shares.and_then(|shares| shares.get(usize::from(step))).copied().unwrap_or_default()
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a number of parts; the cast saturates, so that notes ahead of the beat are on its first part"
)]
fn whole(parts: f64) -> u8 {
    parts as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_are_on_the_nearest_parts_in_order() {
        let steps = |onsets: &[f64], parts| {
            GridAssignment::of(onsets, parts)
                .map(|assignment| assignment.steps().take(onsets.len()).collect::<Vec<_>>())
        };
        assert_eq!(steps(&[0.02, 0.31, 0.7], 3), Some(vec![0, 1, 2]));
        assert_eq!(steps(&[0.02, 0.31, 0.7], 4), Some(vec![0, 1, 3]));
        // No two on one part, none beyond the last.
        assert_eq!(steps(&[0.01, 0.1], 2), Some(vec![0, 1]));
        assert_eq!(steps(&[0.95], 2), Some(vec![1]));
        assert_eq!((steps(&[0.0, 0.5], 1), steps(&[], 2)), (None, None));
        // On the earlier part on a tie; if two would share a part, the one moves for which it costs less.
        assert_eq!((steps(&[0.25], 2), steps(&[-0.1], 4)), (Some(vec![0]), Some(vec![0])));
        assert_eq!(
            (steps(&[0.44, 0.55], 4), steps(&[0.5, 0.55], 4)),
            (Some(vec![1, 2]), Some(vec![2, 3]))
        );
    }

    /// As the Weimar Jazz Database labels beats, here with invented onsets.
    #[test]
    fn each_note_is_on_its_nearest_free_part() {
        let steps = |onsets: &[f64], parts| {
            let assignment = GridAssignment::each_nearest(onsets, parts)?;
            Some(assignment.steps().take(onsets.len()).collect::<Vec<_>>())
        };
        assert_eq!(steps(&[-0.04, 0.26, 0.77], 4), Some(vec![0, 1, 3]));
        // .54 of a part late is still on it, .56 is on the next.
        assert_eq!((steps(&[0.135], 4), steps(&[0.14], 4)), (Some(vec![0]), Some(vec![1])));
        assert_eq!(steps(&[0.2, 0.27, 0.55], 4), Some(vec![1, 2, 3]));
        assert_eq!((steps(&[0.6, 0.7], 2), steps(&[0.78], 2)), (None, None));
        assert_eq!((steps(&[0.1; 3], 2), steps(&[0.1; 13], 16), steps(&[], 2)), (None, None, None));
    }

    #[test]
    fn exact_notes_are_on_the_fewest_parts() {
        let parts = |onsets: &[f64]| {
            GridAssignment::exact(onsets, 0.004).map(|assignment| assignment.parts())
        };
        assert_eq!(
            (parts(&[0.0]), parts(&[0.5]), parts(&[0.25, 0.5])),
            (Some(1), Some(2), Some(4))
        );
        assert_eq!((parts(&[0.001, 0.666]), parts(&[0.25, 0.667])), (Some(3), Some(12)));
        assert_eq!((parts(&[0.02]), parts(&[0.0, 0.001])), (None, None));
    }

    #[test]
    fn a_lone_last_third_is_the_swung_and() {
        let subdivisions = |onsets: &[f64], parts, swings| {
            let assignment = GridAssignment::of(onsets, parts).unwrap();
            (0..onsets.len())
                .map(|n| assignment.subdivision(n, onsets.len(), swings))
                .collect::<Vec<_>>()
        };
        use PulseSubdivision::{Half, On, Other, Quarter, Third, TwoThirds};
        assert_eq!(subdivisions(&[0.0, 0.66], 3, true), [On, Half]);
        assert_eq!(subdivisions(&[0.0, 0.66], 3, false), [On, TwoThirds]);
        assert_eq!(subdivisions(&[0.0, 0.33, 0.66], 3, true), [On, Third, TwoThirds]);
        assert_eq!(subdivisions(&[0.25, 0.5], 4, true), [Quarter, Half]);
        assert_eq!(subdivisions(&[0.2], 5, true), [Other]);
    }
}
