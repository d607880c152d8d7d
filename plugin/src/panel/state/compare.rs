//! The panel's state of comparing, cutting and files.

use crate::panel::widgets::Scroll;

/// The state of these views.
#[derive(Debug, Clone, Default)]
pub struct CompareState {
    /// Scroll position of the compared takes' figures.
    pub rows: Scroll,
    /// Scroll position of the sentences about them.
    pub compare: Scroll,
    /// The options of the comp are shown.
    pub options: bool,
    /// Whether unclear differences are shown too.
    pub unclear: bool,
    /// The first visible column.
    pub column: usize,
    /// The first visible take.
    pub lanes: Scroll,
    /// Scroll position of edits and cues.
    pub edits: Scroll,
    /// Scroll position of the file messages.
    pub files: Scroll,
}
