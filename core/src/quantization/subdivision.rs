//! Subdivisions of a pulse.

use serde::Serialize;

/// Where inside a pulse a note is meant to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PulseSubdivision {
    /// On the pulse.
    On,
    /// Half a pulse after it, swung or straight.
    Half,
    /// A third after it.
    Third,
    /// Two thirds after it.
    TwoThirds,
    /// A quarter after it.
    Quarter,
    /// Three quarters after it.
    ThreeQuarters,
    /// A sixth after it, in compound metres.
    Sixth,
    /// Five sixths after it, in compound metres.
    FiveSixths,
    /// None of these.
    Other,
}

impl PulseSubdivision {
    /// How far into the pulse it is, from 0 to below 1; `None` for [`Self::Other`].
    pub fn share(self) -> Option<f64> {
        match self {
            Self::On => Some(0.0),
            Self::Sixth => Some(1.0 / 6.0),
            Self::Quarter => Some(0.25),
            Self::Third => Some(1.0 / 3.0),
            Self::Half => Some(0.5),
            Self::TwoThirds => Some(2.0 / 3.0),
            Self::ThreeQuarters => Some(0.75),
            Self::FiveSixths => Some(5.0 / 6.0),
            Self::Other => None,
        }
    }
}
