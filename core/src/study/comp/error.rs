//! Why takes make no sheet, or a choice no comp.

use crate::study::compare::{FEWEST_TAKES, MOST_TAKES};

/// What prevents a sheet or a comp.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CompError {
    /// Fewer than two takes, or more than eight.
    #[error("a comp needs {FEWEST_TAKES} to {MOST_TAKES} takes, not {takes}")]
    Takes {
        /// How many.
        takes: usize,
    },
    /// A take that has no beat grid or no notes.
    #[error("{name}: no notes with a position in the bar")]
    NoGrid {
        /// Its name.
        name: String,
    },
    /// No take has a note from the form's first bar on.
    #[error("all notes come before the form's first bar")]
    NothingToCut,
    /// Too many columns.
    #[error("too many columns ({columns}, at most {most}): use more bars per column")]
    Columns {
        /// How many there would be.
        columns: i64,
        /// The most there may be.
        most: i64,
    },
    /// A choice that does not name a take for every column.
    #[error("a comp needs a take for every column")]
    Choice,
}
