//! Everything there is to show, borrowed for one frame.

use crate::view_model::ViewModel;
use crate::view_model::library::LibraryView;
use crate::view_model::practice::PracticeView;
use crate::view_model::progress::ProgressView;
use crate::view_model::setting::Setting;
use overbar_core::figures::alerts::Alert;
use overbar_core::session::snapshot::Snapshot;
use overbar_core::time::Beat;
use overbar_core::time::metre::Metre;
use std::sync::LazyLock;

static NOTHING_KNOWN: LazyLock<ViewModel> = LazyLock::new(ViewModel::default);

/// What there is to show.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    /// What has been heard.
    pub snapshot: &'a Snapshot,
    /// What is known of takes beyond that.
    pub model: &'a ViewModel,
    /// The library, as far as it is looked through.
    pub library: Option<&'a LibraryView>,
    /// Progress over days and weeks, as far as it has been asked for.
    pub progress: Option<&'a ProgressView>,
    /// Where the song is now; `None` while it does not roll.
    pub playhead: Option<Beat>,
    /// Events that were lost because the queue was full.
    pub dropped: u64,
    /// What else the player must be told, such as a saved state that could not be read.
    pub notices: &'a [String],
    /// Every setting; looked at only while they are shown.
    pub settings: &'a [Setting],
    /// Three things are shown, and large.
    pub across_the_room: bool,
    /// Drills; `None` where nobody practises.
    pub practice: Option<&'a PracticeView>,
}

impl<'a> View<'a> {
    /// Of what has been heard, and nothing else.
    #[must_use]
    pub fn of(snapshot: &'a Snapshot) -> Self {
        Self {
            snapshot,
            model: &NOTHING_KNOWN,
            library: None,
            progress: None,
            playhead: None,
            dropped: 0,
            notices: &[],
            settings: &[],
            across_the_room: false,
            practice: None,
        }
    }

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

    /// The alerts that stand. What stood at the end of a take that is looked back at is none.
    #[must_use]
    pub fn alerts(&self) -> &'a [Alert] {
        match self.snapshot.looking.take {
            None => &self.snapshot.alerts,
            Some(_) => &[],
        }
    }
}
