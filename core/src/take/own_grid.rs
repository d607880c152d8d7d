//! The beat grid of a take's own.

use crate::grid::anchors::Anchors;
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::TempoMap;

/// The grid of a take's own.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnGrid {
    /// What it is made of.
    pub anchors: Anchors,
    /// The host's tempo; empty if it gave none.
    pub host_tempo: TempoMap,
    /// The host's metres.
    pub host_metres: MetreMap,
}
