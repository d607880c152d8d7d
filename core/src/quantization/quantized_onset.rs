//! The quantization of one onset.

use super::subdivision::PulseSubdivision;

/// An onset on the grid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QuantizedOnset {
    /// Where inside its pulse it was meant.
    pub subdivision: PulseSubdivision,
    /// Pulses from the one it fell in to the one it belongs to: 1 for a note ahead of the next
    /// pulse, −1 for one so late that it fell into the next.
    pub shift: i8,
    /// Probability of the subdivision, from 0 to 1.
    pub confidence: f32,
    /// Its beat is complete: later notes no longer change it.
    pub settled: bool,
}
