//! Progress over days and weeks, and whose.

use overbar_core::study::progress::Progress;

/// Whose progress over what is asked for; `None` is everyone, or everything.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ProgressFilter {
    /// The player's name.
    pub player: Option<String>,
    /// The tune's name.
    pub tune: Option<String>,
}

/// What there is to draw.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ProgressView {
    /// What was asked for.
    pub filter: ProgressFilter,
    /// It is being read: how many takes have been counted, of how many.
    pub busy: Option<(usize, usize)>,
    /// Players by name.
    pub players: Vec<String>,
    /// Tunes by name.
    pub tunes: Vec<String>,
    /// What came out; `None` before it has been read.
    pub progress: Option<Progress>,
    /// Takes that could not be read.
    pub unreadable: usize,
    /// Why nothing could be read, in a sentence.
    pub fault: Option<String>,
}
