//! The stretches of takes that a comp is cut from: where its beats come from, and how far they can be gone by.

use super::grid_summary::source_of;
use super::performance::Performance;
use crate::grid::anchors::AnchorSource;
use crate::grid::beat_grid::{BeatGrid, Bridge};
use crate::time::{Beat, SecondSpan};

/// A stretch of a comp from one take.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Where it begins.
    pub from: Beat,
    /// The beat after its last.
    pub to: Beat,
    /// What the beat grid of the take's own is made of; `None` on that of its file or host.
    pub source: Option<AnchorSource>,
    /// How many beats of it were tapped, heard in the band or set by hand.
    pub anchors: usize,
    /// How far a beat of it is off in the mean, as a standard deviation.
    pub spread: SecondSpan,
    /// What of it was bridged, or whose count is in doubt, in order.
    pub bridges: Vec<Bridge>,
    /// Bars and positions of the take are approximate.
    pub about: bool,
}

impl Piece {
    /// How many of its beats were bridged, and of how many.
    #[must_use]
    pub fn bridged(&self) -> (f64, f64) {
        let bridges = self.bridges.iter().filter(|bridge| bridge.bridged);
        (bridges.map(|bridge| (bridge.to - bridge.from).0).sum(), (self.to - self.from).0)
    }

    /// What of it lies from one beat to another; `None` of what lies elsewhere.
    fn within(&self, from: Beat, to: Beat) -> Option<Self> {
        let (from, to) = (self.from.later(from), self.to.earlier(to));
        let cut = |bridge: &Bridge| {
            let (from, to) = (bridge.from.later(from), bridge.to.earlier(to));
            (from < to).then_some(Bridge { from, to, ..*bridge })
        };
        let bridges = self.bridges.iter().filter_map(cut).collect();
        (from < to).then(|| Self { from, to, bridges, ..self.clone() })
    }

    /// The same elsewhere.
    pub(crate) fn moved(&self, to: impl Fn(Beat) -> Beat) -> Self {
        let bridge = |one: &Bridge| Bridge { from: to(one.from), to: to(one.to), ..*one };
        let bridges = self.bridges.iter().map(bridge).collect();
        Self { from: to(self.from), to: to(self.to), bridges, ..self.clone() }
    }
}

impl Performance {
    /// The stretch of a comp that a beat is in.
    #[must_use]
    pub fn piece_at(&self, beat: Beat) -> Option<&Piece> {
        self.pieces.iter().rfind(|piece| piece.from <= beat).or(self.pieces.first())
    }

    /// What a comp has of this take from one beat to another. `grid` is that of the take's own;
    /// `about` says that its bars and positions are approximate.
    pub(crate) fn pieces_between(
        &self,
        from: Beat,
        to: Beat,
        grid: Option<&BeatGrid>,
        about: bool,
    ) -> Vec<Piece> {
        if self.pieces.is_empty() {
            return vec![self.piece(from, to, grid, about)];
        }
        self.pieces.iter().filter_map(|piece| piece.within(from, to)).collect()
    }

    fn piece(&self, from: Beat, to: Beat, grid: Option<&BeatGrid>, about: bool) -> Piece {
        let own = self.own_grid.as_deref();
        let anchors = own.map_or(&[][..], |own| own.anchors.all());
        let is_in = |second| self.tempo.beat_at(second).is_some_and(|at| from <= at && at < to);
        let [first, end] = [from, to].map(|beat| self.tempo.second_at(beat).unwrap_or_default());
        let certainty = grid.map(|grid| grid.certainty(first, end));
        Piece {
            from,
            to,
            source: own.map(|own| source_of(&own.anchors)),
            anchors: anchors.iter().filter(|anchor| is_in(anchor.at)).count(),
            spread: certainty.as_ref().map_or(SecondSpan(0.0), |certainty| certainty.spread),
            bridges: certainty.map_or_else(Vec::new, |certainty| certainty.bridges),
            about,
        }
    }
}
