//! From how likely each spot is to one reading.

use super::column::Cell;
use super::spot::Spot;
use super::states::STATES;
use crate::place_model::{self, Role};
use crate::settings::Feel;
use crate::slot::Slot;

/// A reading of one onset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The spot.
    pub slot: Slot,
    /// Pulses from the one it fell in to the one it belongs to: 1 for a note ahead of the next
    /// pulse, −1 for one so late that it fell behind it.
    pub shift: i8,
    /// How likely the reading is, from 0 to 1.
    pub confidence: f32,
    /// Its beat is complete: later notes no longer change it.
    pub settled: bool,
}

const SLOTS: [Slot; 9] = [
    Slot::On,
    Slot::Half,
    Slot::Third,
    Slot::TwoThirds,
    Slot::Quarter,
    Slot::ThreeQuarters,
    Slot::Sixth,
    Slot::FiveSixths,
    Slot::Other,
];

/// The reading of an onset, in swing feel or not. First it is found whether it is on a pulse,
/// on an "and" or elsewhere, then the likeliest spot of that kind.
pub(super) fn decide(
    cells: impl Iterator<Item = (Cell, f64)>,
    spot: &Spot,
    swing: bool,
    settled: bool,
) -> Reading {
    let mut shares = [[0.0_f64; 3]; 9];
    for (cell, likely) in cells {
        let Some(state) = STATES.get(usize::from(cell.state)) else { continue };
        let slot = state.slot(spot.division, swing);
        let row = SLOTS.iter().position(|s| *s == slot).and_then(|row| shares.get_mut(row));
        let column = usize::try_from(cell.shift + 1).ok();
        if let Some(share) = row.zip(column).and_then(|(row, column)| row.get_mut(column)) {
            *share += likely;
        }
    }
    let sum = |row: &[f64; 3]| row.iter().sum::<f64>();
    let [on, half, rest @ ..] = &shares;
    let rest_sum: f64 = rest.iter().map(sum).sum();
    let whole = sum(on) + sum(half) + rest_sum;
    let wanted = |slot: Slot| {
        if sum(on) >= sum(half) && sum(on) >= rest_sum {
            slot == Slot::On
        } else if sum(half) >= rest_sum {
            slot == Slot::Half
        } else {
            !matches!(slot, Slot::On | Slot::Half)
        }
    };
    let mut best = (Slot::Other, 0_i8, 0.0);
    for (slot, row) in SLOTS.into_iter().zip(&shares).filter(|(slot, _)| wanted(*slot)) {
        for (shift, share) in [-1_i8, 0, 1].into_iter().zip(row) {
            if *share > best.2 {
                best = (slot, shift, *share);
            }
        }
    }
    #[expect(clippy::cast_possible_truncation, reason = "a probability, to seven digits")]
    let confidence = if whole > 0.0 { (best.2 / whole) as f32 } else { 0.0 };
    Reading { slot: best.0, shift: best.1, confidence, settled }
}

/// The reading of an onset by itself, whatever was played around it.
#[must_use]
pub fn alone(spot: &Spot, role: Role, feel: Feel) -> Reading {
    let feel = if spot.swings { feel } else { Feel::Auto };
    let read = place_model::read(spot.position(), spot.seconds, spot.division, role, feel);
    #[expect(clippy::cast_possible_truncation, reason = "a probability, to seven digits")]
    let confidence = read.confidence as f32;
    Reading { slot: read.slot, shift: i8::from(read.anticipates), confidence, settled: false }
}
