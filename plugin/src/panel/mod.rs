//! The panel.
use overbar_core::snapshot::Snapshot;
use overbar_core::time::Beat;

/// What the panel draws.
pub struct View<'a> {
    /// What was heard.
    pub snapshot: &'a Snapshot,
    /// Where the song is now, while it rolls.
    pub playhead: Option<Beat>,
    /// Events lost because the queue was full.
    pub dropped: u64,
    /// Messages for the user.
    pub notices: &'a [String],
}

/// Draws.
pub fn show(ui: &mut egui::Ui, view: &View<'_>) {
    ui.label(format!("{}", view.snapshot.take));
}
