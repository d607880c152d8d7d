//! The quantization of one onset.

use super::pulse_position::Spot;
use crate::quantization::note_quantizer::{self, Role};
use crate::quantization::subdivision::PulseSubdivision;
use crate::settings::Feel;

/// A reading of one onset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The spot.
    pub slot: PulseSubdivision,
    /// Pulses from the one it fell in to the one it belongs to: 1 for a note ahead of the next
    /// pulse, −1 for one so late that it fell behind it.
    pub shift: i8,
    /// How likely the reading is, from 0 to 1.
    pub confidence: f32,
    /// Its beat is complete: later notes no longer change it.
    pub settled: bool,
}

/// The reading of an onset by itself, whatever was played around it.
#[must_use]
pub fn alone(spot: &Spot, role: Role, feel: Feel) -> Reading {
    let feel = if spot.swings { feel } else { Feel::Auto };
    let read = note_quantizer::read(spot.position(), spot.seconds, spot.division, role, feel);
    #[expect(clippy::cast_possible_truncation, reason = "a probability, to seven digits")]
    let confidence = read.confidence as f32;
    Reading { slot: read.slot, shift: i8::from(read.anticipates), confidence, settled: false }
}
