//! The source of the beats, as cells of a table.

use super::csv::number;
use crate::grid::anchors::AnchorSource;
use crate::take::grid_summary::GridSummary;
use crate::take::performance::Performance;
use crate::time::Beat;

/// The source of the beats, and the share that was bridged.
#[derive(Debug, Clone, PartialEq)]
pub struct BeatsFrom {
    sources: String,
    bridged: f64,
}

impl BeatsFrom {
    /// For a whole take; for a comp, each source once.
    #[must_use]
    pub fn of(grid: Option<&GridSummary>) -> Self {
        let Some(grid) = grid else { return Self { sources: word(None).to_owned(), bridged: 0.0 } };
        let sources: Vec<&str> = grid.sources.iter().map(|source| word(*source)).collect();
        Self { sources: sources.join("; "), bridged: grid.bridged }
    }

    /// For a position in a take; in a comp, for the stretch that contains it.
    #[must_use]
    pub fn at(beat: Beat, take: &Performance, grid: Option<&GridSummary>) -> Self {
        let Some(piece) = take.piece_at(beat) else { return Self::of(grid) };
        let (bridged, of) = piece.bridged();
        let share = if of > 0.0 { bridged / of } else { 0.0 };
        let bridged = (share * 1e3).round() / 1e3;
        Self { sources: word(piece.source).to_owned(), bridged }
    }

    /// The cells of `beats_from` and `bridged`.
    pub(super) fn cells(&self) -> [String; 2] {
        [self.sources.clone(), number(Some(self.bridged))]
    }
}

/// The name of a source; `host` includes files.
fn word(source: Option<AnchorSource>) -> &'static str {
    match source {
        None => "host",
        Some(AnchorSource::Tap) => "tap",
        Some(AnchorSource::Band) => "band",
        Some(AnchorSource::Hand) => "hand",
    }
}
