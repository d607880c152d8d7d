//! What the panel remembers of comparing, cutting and files.

use crate::panel::widgets::Scroll;

/// What the panel remembers of these views.
#[derive(Debug, Clone, Default)]
pub struct CompareState {
    /// Where the figures of the compared takes are.
    pub rows: Scroll,
    /// Where what is said of them is.
    pub compare: Scroll,
    /// The options of the comp are shown.
    pub options: bool,
    /// The differences that are not clear are shown too.
    pub unclear: bool,
    /// The first column in sight.
    pub column: usize,
    /// The first take in sight.
    pub lanes: Scroll,
    /// Where edits and cues are.
    pub edits: Scroll,
    /// Where what is told of files is.
    pub files: Scroll,
}
