//! Why takes make no sheet, or a choice no comp.

use crate::study::compare::{FEWEST_TAKES, MOST_TAKES};

/// What prevents a sheet or a comp.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CompError {
    /// Fewer than two takes, or more than eight.
    #[error("{takes} takes: a comp is cut from {FEWEST_TAKES} to {MOST_TAKES} of them")]
    Takes {
        /// How many.
        takes: usize,
    },
    /// A take that has no beat grid or no notes.
    #[error("{name}: no notes over a beat grid")]
    NoGrid {
        /// Its name.
        name: String,
    },
    /// No take has a note from the form's first bar on.
    #[error("no take has a note from the form's first bar on")]
    NothingToCut,
    /// Too many columns.
    #[error("{columns} columns: at most {most} are laid out; take more bars to each")]
    Columns {
        /// How many there would be.
        columns: i64,
        /// The most there may be.
        most: i64,
    },
    /// A choice that does not name a take for every column.
    #[error("a comp needs one of the takes for every column")]
    Choice,
}
