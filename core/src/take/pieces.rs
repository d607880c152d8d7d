//! The stretches of takes that a comp is cut from.

use super::performance::Performance;
use super::piece::{Piece, source_of};
use crate::grid::beat_grid::BeatGrid;
use crate::time::{Beat, SecondSpan};

impl Performance {
    /// The stretches of a comp; none on a beat grid of its own, whose beats are different ones.
    pub(super) fn pieces_in_force(&self) -> &[Piece] {
        if self.own_grid.is_some() { &[] } else { &self.pieces }
    }

    /// The stretch of a comp that contains a beat.
    #[must_use]
    pub fn piece_at(&self, beat: Beat) -> Option<&Piece> {
        let pieces = self.pieces_in_force();
        pieces.iter().rfind(|piece| piece.from <= beat).or(pieces.first())
    }

    /// Keeps only what lies between two of the host's beats, as for a part of a split take.
    pub fn keep_pieces(&mut self, from: Beat, to: Beat) {
        self.pieces = self.pieces.iter().filter_map(|piece| piece.within(from, to)).collect();
    }

    /// The source of the beats from the first note to the end of the last, by stretches for a comp.
    #[must_use]
    pub fn whole_pieces(&self) -> Vec<Piece> {
        let notes = || self.soloist.notes().iter().chain(self.ignored.notes());
        let first = notes().map(|note| note.on.beat).reduce(Beat::earlier);
        let last = notes().map(|note| note.off.unwrap_or(note.on).beat).reduce(Beat::later);
        let Some((from, to)) = first.zip(last) else { return Vec::new() };
        let grid = self.own_grid.as_deref().map(|own| BeatGrid::of(&own.anchors));
        self.pieces_between(from, to, grid.as_ref(), self.approximate().is_anywhere())
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
        let pieces = self.pieces_in_force();
        if pieces.is_empty() {
            return vec![self.piece(from, to, grid, about)];
        }
        pieces.iter().filter_map(|piece| piece.within(from, to)).collect()
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
