//! A stretch of a take in a comp: where its beats come from, and how reliable they are.

use crate::grid::anchors::{AnchorSource, Anchors};
use crate::grid::beat_grid::Bridge;
use crate::time::{Beat, SecondSpan};
use serde::{Deserialize, Serialize};

/// A stretch of a comp from one take. The names of its fields are stored.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Piece {
    /// Where it begins.
    pub from: Beat,
    /// The beat after its last.
    pub to: Beat,
    /// The source of the take's own beat grid; `None` on that of its file or host.
    pub source: Option<AnchorSource>,
    /// How many beats of it were tapped, heard in the band or set by hand.
    pub anchors: usize,
    /// How far a beat is off, as a standard deviation.
    pub spread: SecondSpan,
    /// Its stretches that were bridged or whose count is in doubt, in order.
    pub bridges: Vec<Bridge>,
    /// Bars and positions of the take are approximate.
    pub about: bool,
}

impl Piece {
    /// The number of bridged beats, and of all beats.
    #[must_use]
    pub fn bridged(&self) -> (f64, f64) {
        let bridges = self.bridges.iter().filter(|bridge| bridge.bridged);
        (bridges.map(|bridge| (bridge.to - bridge.from).0).sum(), (self.to - self.from).0)
    }

    /// Whether it has a length and all its numbers are finite.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        let is_stretch = |from: Beat, to: Beat| from.0.is_finite() && to.0.is_finite() && from < to;
        let is_spread = self.spread.0.is_finite() && self.spread.0 >= 0.0;
        let bridges = self.bridges.iter().all(|bridge| is_stretch(bridge.from, bridge.to));
        is_stretch(self.from, self.to) && is_spread && bridges
    }

    /// Its part between two beats, if any.
    pub(super) fn within(&self, from: Beat, to: Beat) -> Option<Self> {
        let (from, to) = (self.from.later(from), self.to.earlier(to));
        let cut = |bridge: &Bridge| {
            let (from, to) = (bridge.from.later(from), bridge.to.earlier(to));
            (from < to).then_some(Bridge { from, to, ..*bridge })
        };
        let bridges = self.bridges.iter().filter_map(cut).collect();
        (from < to).then(|| Self { from, to, bridges, ..self.clone() })
    }

    /// The piece with all its beats mapped by `to`.
    pub(crate) fn moved(&self, to: impl Fn(Beat) -> Beat) -> Self {
        let bridge = |one: &Bridge| Bridge { from: to(one.from), to: to(one.to), ..*one };
        let bridges = self.bridges.iter().map(bridge).collect();
        Self { from: to(self.from), to: to(self.to), bridges, ..self.clone() }
    }
}

/// Which source names a grid that has several, in order of precedence.
pub(super) const NAMED_FIRST: [AnchorSource; 3] =
    [AnchorSource::Band, AnchorSource::Tap, AnchorSource::Hand];

/// The source that names these anchors.
pub(super) fn source_of(anchors: &Anchors) -> AnchorSource {
    let any = |source: &AnchorSource| anchors.all().iter().any(|anchor| anchor.source == *source);
    NAMED_FIRST.into_iter().find(any).unwrap_or(AnchorSource::Hand)
}
