//! Errors of sheets and comps.

use crate::study::compare::{MAX_TAKES, MIN_TAKES};

/// Why there is no sheet or no comp.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CompError {
    /// Fewer than two takes, or more than eight.
    #[error("a comp needs {MIN_TAKES} to {MAX_TAKES} takes, not {takes}")]
    Takes {
        /// How many.
        takes: usize,
    },
    /// A take without a beat grid or without notes.
    #[error("{name}: no notes with a position in the bar")]
    NoGrid {
        /// Its name.
        name: String,
    },
    /// No take has a note from the form's first bar on.
    #[error("all notes come before the form's first bar")]
    NothingToCut,
    /// Too many columns.
    #[error("too many columns ({columns}, at most {max}): use more bars per column")]
    Columns {
        /// The number of columns.
        columns: i64,
        /// The largest number allowed.
        max: i64,
    },
    /// The choice does not name a take for every column.
    #[error("a comp needs a take for every column")]
    Choice,
}
