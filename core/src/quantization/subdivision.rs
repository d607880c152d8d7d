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
