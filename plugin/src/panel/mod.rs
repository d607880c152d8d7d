//! The panel: what the player sees while playing.
//!
//! # Conventions
//! - The panel computes nothing but layout: every figure comes from a
//!   [`Snapshot`], every word from it or from [`words`].
//! - A widget is a free function in four steps: size, allocate, interact, paint. Each one tells
//!   a screen reader what it shows.
//! - Lengths are in points. No widget names a colour ([`theme`]) or a type size ([`style`]).
//! - Shape says whatever colour says.

pub mod alert;
pub mod calm;
pub mod entries;
pub mod figure;
pub mod header;
pub mod interval;
pub mod key;
pub mod layout;
pub mod mark;
pub mod norms;
pub mod notices;
pub mod rack;
pub mod row;
pub mod style;
pub mod text;
pub mod theme;
pub mod waiting;
pub mod words;

use overbar_core::metre::Metre;
use overbar_core::snapshot::Snapshot;
use overbar_core::time::Beat;

/// What there is to show.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    /// What has been heard.
    pub snapshot: &'a Snapshot,
    /// Where the song is now; `None` while it does not roll.
    pub playhead: Option<Beat>,
    /// Events that were lost because the queue was full.
    pub dropped: u64,
    /// What else the player must be told, such as a saved state that could not be read.
    pub notices: &'a [String],
}

impl View<'_> {
    /// The metre in force: where the song is now, or where the last phrase came in.
    #[must_use]
    pub fn metre(&self) -> Metre {
        let last = self.snapshot.phrases.last().map(|phrase| phrase.entry.bar_start);
        let metres = &self.snapshot.metres;
        match (self.playhead.or(last), metres.stretches()) {
            (Some(beat), _) => metres.metre_at(beat),
            (None, [.., stretch]) => stretch.metre,
            (None, []) => Metre::COMMON,
        }
    }
}

/// Shows `view` over the whole of `ui`, in the colours for a dim stage.
pub fn show(ui: &mut egui::Ui, view: &View<'_>) {
    layout::show(ui, view, theme::Theme::NIGHT);
}
