//! Progress over days and weeks, and whose.

use overbar_core::study::progress::Progress;

/// Whose progress in which tune; `None` for all.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ProgressFilter {
    /// The player's name.
    pub player: Option<String>,
    /// The tune's name.
    pub tune: Option<String>,
}

/// The view.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ProgressView {
    /// The filter.
    pub filter: ProgressFilter,
    /// While it is being computed: takes done, and in all.
    pub busy: Option<(usize, usize)>,
    /// Players by name.
    pub players: Vec<String>,
    /// Tunes by name.
    pub tunes: Vec<String>,
    /// The result; `None` before the first one.
    pub progress: Option<Progress>,
    /// Takes that could not be read.
    pub unreadable: usize,
    /// Why nothing could be read, as a sentence for the user.
    pub fault: Option<String>,
}
