//! Everything to show, borrowed for one frame.

use crate::view_model::ViewModel;
use crate::view_model::drill_past::DrillPast;
use crate::view_model::hear::HearView;
use crate::view_model::input::{InputView, Role};
use crate::view_model::library::LibraryView;
use crate::view_model::practice::PracticeView;
use crate::view_model::progress::ProgressView;
use crate::view_model::setting::Setting;
use crate::view_model::take_detail::TakeDetail;
use overbar_core::grid::band::OnsetStrength;
use overbar_core::phrase::alerts::Alert;
use overbar_core::session::snapshot::Snapshot;
use overbar_core::session::take_list::TakeRow;
use overbar_core::time::Beat;
use overbar_core::time::metre::Metre;
use std::sync::LazyLock;

static NOTHING_KNOWN: LazyLock<ViewModel> = LazyLock::new(ViewModel::default);
static NOTHING_HEARD: LazyLock<HearView> = LazyLock::new(HearView::default);

/// The data to show.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    /// The live snapshot.
    pub snapshot: &'a Snapshot,
    /// What the worker publishes besides it.
    pub model: &'a ViewModel,
    /// The page of the library, once searched.
    pub library: Option<&'a LibraryView>,
    /// Progress over days and weeks, once computed.
    pub progress: Option<&'a ProgressView>,
    /// The position in the song; `None` while stopped.
    pub playhead: Option<Beat>,
    /// The tempo in quarter notes a minute, if the host reports one.
    pub tempo: Option<f64>,
    /// Events dropped because the queue was full.
    pub dropped: u64,
    /// Other messages, such as a saved state that could not be read.
    pub notices: &'a [String],
    /// Messages that the user has dismissed.
    pub dismissed: &'a [String],
    /// Every setting; only filled in while they are shown.
    pub settings: &'a [Setting],
    /// The stage view is on.
    pub across_the_room: bool,
    /// Drills, if anyone practises.
    pub practice: Option<&'a PracticeView>,
    /// Earlier results of the current drill, once read.
    pub drill_past: Option<&'a DrillPast>,
    /// Hear playback.
    pub hear: &'a HearView,
    /// The audio input; `None` for MIDI.
    pub input: Option<InputView>,
    /// Whether the next note will be learnt as the tap note.
    pub learning: bool,
    /// Whether there is no host.
    pub stand_alone: bool,
}

impl<'a> View<'a> {
    /// From a snapshot only.
    pub fn of(snapshot: &'a Snapshot) -> Self {
        Self {
            snapshot,
            model: &NOTHING_KNOWN,
            library: None,
            progress: None,
            playhead: None,
            tempo: None,
            dropped: 0,
            notices: &[],
            dismissed: &[],
            settings: &[],
            across_the_room: false,
            practice: None,
            drill_past: None,
            hear: &NOTHING_HEARD,
            input: None,
            learning: false,
            stand_alone: false,
        }
    }

    /// The metre at the current position, or where the last phrase started.
    pub fn metre(&self) -> Metre {
        let last = self.snapshot.phrases.last().map(|phrase| phrase.entry.bar_start);
        let metres = &self.snapshot.metres;
        match (self.playhead.or(last), metres.stretches()) {
            (Some(beat), _) => metres.metre_at(beat),
            (None, [.., stretch]) => stretch.metre,
            (None, []) => Metre::COMMON,
        }
    }

    /// Whether bars and positions of the shown take are approximate.
    pub fn is_approximate(&self) -> bool {
        self.shown_take_detail().is_some_and(|one| one.grid.about)
    }

    /// Whether this instance listens to the band and not to a soloist.
    pub fn is_band(&self) -> bool {
        self.input.is_some_and(|input| input.role == Role::Band)
    }

    /// The row of the shown take.
    pub fn shown_take(&self) -> Option<&'a TakeRow> {
        self.snapshot.takes.iter().find(|take| take.number == self.snapshot.take)
    }

    /// The details of the shown take; `None` while they are those of another one.
    pub fn shown_take_detail(&self) -> Option<&'a TakeDetail> {
        let shown = self.shown_take()?;
        self.model.take_detail.as_deref().filter(|detail| detail.id == shown.id)
    }

    /// The onset strength of the band for the shown take, if there was one.
    pub fn shown_band(&self) -> Option<&'a OnsetStrength> {
        let shown = self.shown_take()?.id;
        let found = self.model.band_heard.iter().find(|(take, _)| *take == shown);
        found.map(|(_, strength)| strength.as_ref())
    }

    /// The current alerts; none for a finished take.
    pub fn alerts(&self) -> &'a [Alert] {
        match self.snapshot.looking.take {
            None => &self.snapshot.alerts,
            Some(_) => &[],
        }
    }
}
