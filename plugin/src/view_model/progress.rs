//! Progress over days and weeks, by player and tune.

use overbar_core::study::progress::Progress;

/// Whose progress on which tune; `None` for all.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ProgressFilter {
    /// The player's name.
    pub player: Option<String>,
    /// The tune's name.
    pub tune: Option<String>,
}

/// Progress of one player, or on one tune.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedProgress {
    /// The player, or the tune.
    pub name: String,
    /// The progress.
    pub progress: Progress,
}

/// The view.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ProgressView {
    /// The filter.
    pub filter: ProgressFilter,
    /// While it is being computed: takes done, and in total.
    pub busy: Option<(usize, usize)>,
    /// Players by name.
    pub players: Vec<String>,
    /// Tunes by name.
    pub tunes: Vec<String>,
    /// The result; `None` before the first one.
    pub progress: Option<Progress>,
    /// The progress of each player on the chosen tune, by name.
    pub by_player: Vec<NamedProgress>,
    /// The progress of the chosen player on each tune, by name.
    pub by_tune: Vec<NamedProgress>,
    /// Takes that could not be read.
    pub unreadable: usize,
    /// Why it could not be read, as a sentence for the user.
    pub fault: Option<String>,
}
