//! Where a note fell on the felt pulse.

use crate::time::metre::Division;
use crate::time::{Beat, BeatSpan, SecondSpan};

/// Where a note fell, before quantization.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PulsePosition {
    /// Where it was played.
    pub beat: Beat,
    /// Where its pulse begins.
    pub pulse: Beat,
    /// Length of the pulse.
    pub length: BeatSpan,
    /// Length of the pulse in seconds at the current tempo.
    pub seconds: SecondSpan,
    /// The division of the pulse.
    pub division: Division,
    /// Whether its eighths may swing, which is if the pulse is a quarter.
    pub swings: bool,
}

impl PulsePosition {
    /// Position in its pulse, from 0 to below 1.
    pub fn position(&self) -> f64 {
        (self.beat - self.pulse).0 / self.length.0
    }
}
