//! A take's own beat grid.

use crate::grid::anchors::Anchors;
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::TempoMap;

/// A take's own beat grid.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnGrid {
    /// Its anchors.
    pub anchors: Anchors,
    /// The host's tempo; empty if it gave none.
    pub host_tempo: TempoMap,
    /// The host's metres.
    pub host_metres: MetreMap,
}
