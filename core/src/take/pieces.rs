//! The stretches of takes that a comp is cut from.

use super::performance::Performance;
use super::piece::{Piece, source_of};
use crate::grid::beat_grid::BeatGrid;
use crate::time::{Beat, SecondSpan};

impl Performance {
    /// The stretch of a comp that contains a beat.
    #[must_use]
    pub fn piece_at(&self, beat: Beat) -> Option<&Piece> {
        self.pieces.iter().rfind(|piece| piece.from <= beat).or(self.pieces.first())
    }

    /// The pieces of a comp that uses this take between two beats. `grid` is the take's own grid; `about`
    /// says that its bars and positions are approximate.
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
