//! Everything played since the plugin was opened: one take per pass of the transport, and the notes
//! without a beat grid. Receives events in order of time and gives snapshots.

mod catching_up;
mod drilling;
mod following;
mod looking;
mod notes;
pub mod own_beat;
mod rolling;
pub mod snapshot;
pub mod song_event;
pub mod take_list;
pub mod teaching;

use crate::analysis::analyser::Analyser;
use crate::analysis::overview::{TakeFigures, TakeOverview};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::grid::anchors::Anchors;
use crate::input::event::Event;
use crate::input::pairing::Cut;
use crate::phrase::Phrase;
use crate::phrase::alerts::standing;
use crate::session::snapshot::{GridState, Looking, ReceivedNote, Snapshot};
use crate::session::song_event::SongEvents;
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::take::{Take, TakeId};
use crate::time::clock::SongClock;
use crate::time::metre_map::MetreMap;
use crate::time::{Beat, Moment, Second};
use drilling::{Drilling, Ended};
use following::Following;
use looking::Shown;
use own_beat::BeatSource;
use std::sync::{Arc, Weak};
use teaching::Teaching;

/// Everything played so far.
#[derive(Debug, Clone, Default)]
pub struct Session {
    settings: Settings,
    /// Passes are analysed only when they are over.
    only_whole: bool,
    clock: SongClock,
    beat_source: BeatSource,
    /// `Some` while the transport plays and the beat does not come from the host.
    following: Option<Following>,
    grid: GridState,
    recording: bool,
    /// The song's metres so far; `None` before the first time signature.
    song: Option<MetreMap>,
    /// The id of the next take.
    next: TakeId,
    takes: Vec<Take>,
    teaching: Teaching,
    looking: Looking,
    /// The analysis of the finished take that was shown last.
    analysis: Option<Arc<TakeAnalysis>>,
    /// The overview of that take, with the notes and settings it was made from.
    overview: Option<(Weak<Performance>, Settings, TakeOverview)>,
    /// Figures for the list, of those takes that have been analysed.
    figures_of: Vec<Option<TakeFigures>>,
    pass: Option<Pass>,
    /// Notes that came without a moving beat grid.
    loose: Performance,
    events: SongEvents,
    /// Notes at the very end of a loop, until it is known whether the host loops.
    held_back: Vec<Event>,
    cycle: Option<(Beat, Beat)>,
    /// When the last event came.
    now: Second,
    drilling: Option<Drilling>,
}

/// The current pass of the transport.
#[derive(Debug, Clone)]
struct Pass {
    take: Take,
    /// The host recorded during it.
    recorded: bool,
    analyser: Analyser,
}

impl Pass {
    /// Whether it would be a take if it ended now.
    fn is_a_take(&self, settings: &Settings) -> bool {
        let counts = self.recorded || !settings.passes.recorded_only;
        counts && !self.take.performance.is_silent()
    }
}

impl Session {
    /// An empty session.
    #[must_use]
    pub fn new(settings: Settings) -> Self {
        Self { settings, ..Self::default() }
    }

    /// An empty session that analyses takes only when they are over: for a file, where nothing is asked
    /// before.
    #[must_use]
    pub fn of_whole_takes(settings: Settings) -> Self {
        Self { only_whole: true, ..Self::new(settings) }
    }

    /// The finished takes, in order; passes without notes are not takes.
    #[must_use]
    pub fn takes(&self) -> &[Take] {
        &self.takes
    }

    /// The current take, if there is one with notes.
    #[must_use]
    pub fn current(&self) -> Option<&Take> {
        let pass = self.pass.as_ref().filter(|pass| pass.is_a_take(&self.settings));
        pass.map(|pass| &pass.take)
    }

    /// Sets the id of the next take; later takes get the ids that follow. The caller keeps the ids of
    /// several sessions apart.
    pub fn ids_from(&mut self, next: TakeId) {
        self.next = next;
    }

    /// Notes that came without a moving beat grid.
    #[must_use]
    pub fn loose(&self) -> &Performance {
        &self.loose
    }

    /// What the transport did, newest last.
    #[must_use]
    pub fn events(&self) -> &SongEvents {
        &self.events
    }

    /// The settings in force.
    #[must_use]
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// Inserts takes from elsewhere, in order, before those played here.
    pub fn restore(&mut self, takes: Vec<Take>) {
        self.rearrange(|all| {
            all.splice(0..0, takes);
        });
    }

    /// Changes the list of finished takes. The shown take stays shown, unless it is gone.
    pub fn rearrange(&mut self, change: impl FnOnce(&mut Vec<Take>)) {
        let index = self.looking.take.and_then(looking::index);
        let shown = index.and_then(|index| self.takes.get(index)).map(|take| take.id);
        change(&mut self.takes);
        for take in &mut self.takes {
            take.apply_hearing(&self.settings.hearing);
        }
        let now = shown.and_then(|id| self.takes.iter().position(|take| take.id == id));
        self.looking.take = now.map(looking::number);
        if now.is_none() && index.is_some() {
            self.looking.note = None;
        }
        self.corrections_changed();
        self.figures_of.clear();
    }

    /// The song position last reported by the host while it plays: on the take's clock, and in the song.
    #[must_use]
    pub fn rolling_at(&self) -> Option<(Second, Beat)> {
        self.clock.rolling().map(|(at, grid)| (at, grid.beat))
    }

    /// Restarts after an error, with what was played but nothing computed from it. The current take ends
    /// here; if the transport plays, another begins.
    pub fn restart(&mut self) {
        let clock = core::mem::take(&mut self.clock);
        let mut takes = core::mem::take(&mut self.takes);
        takes.extend(self.current().cloned());
        let (loose, next) = (core::mem::take(&mut self.loose), self.next);
        *self = Self {
            takes,
            loose,
            clock,
            next,
            teaching: self.teaching,
            only_whole: self.only_whole,
            beat_source: self.beat_source,
            ..Self::new(self.settings)
        };
        if let Some((at, grid)) = self.clock.rolling() {
            self.begin(at, grid, None);
        }
    }

    /// Changes the settings. Everything is analysed again, the current take by [`Session::catch_up`].
    pub fn set(&mut self, settings: Settings) {
        if settings == self.settings {
            return;
        }
        let hearing_changed = settings.hearing != self.settings.hearing;
        // A drill counts a take with the settings it was played with.
        self.feed_pending_to_drill();
        self.settings = settings;
        self.update_drill_settings();
        self.figures_of.clear();
        if hearing_changed {
            let current = self.pass.iter_mut().map(|p| &mut p.take);
            for take in self.takes.iter_mut().chain(current) {
                take.apply_hearing(&settings.hearing);
            }
            self.loose.apply_hearing(&settings.hearing);
        }
        if let Some(pass) = &mut self.pass {
            pass.analyser = Analyser::new(settings);
        }
    }

    /// Processes the next event.
    pub fn push(&mut self, event: Event) {
        self.now = event.at();
        match event {
            Event::Transport(point) => self.transport(&point),
            Event::Tap(at) => self.tap(at),
            _ if self.belongs_to_next_loop(&event) => self.held_back.push(event),
            Event::On(on) => self.note_on(&on),
            Event::Off(off) => self.note_off(&off),
            Event::Renamed(renamed) => self.rename(&renamed),
            Event::SoloistEntered(entered) => self.ignore_before(entered.entry),
        }
    }

    /// Ends the current pass: no more events will come.
    pub fn finish(&mut self) {
        self.release(|_| None);
        if let Some(pass) = &mut self.pass {
            let performance = pass.take.performance_mut();
            performance.soloist.cut(Cut::End, Moment::default());
            performance.ignored.cut(Cut::End, Moment::default());
        }
        self.close_pass(Some(Ended { at: self.now, loops: false }));
    }

    /// The phrases of the shown take: see [`Session::look_at`].
    pub fn phrases(&mut self) -> Vec<Phrase> {
        self.catch_up(usize::MAX);
        match (self.shown(), &mut self.pass) {
            (Shown::UnderWay, Some(pass)) => pass.analyser.phrases(&pass.take.performance),
            (Shown::Take(index), _) => {
                self.analysis(index).map_or_else(Vec::new, |take| take.phrases().to_vec())
            }
            _ => Vec::new(),
        }
    }

    /// Sets by hand whether a phrase starts at the onset played at second `at` of take `take`, from 1 as in
    /// [`Snapshot::take`]; `None` leaves it to the segmenter. A take's first onset always starts one. The
    /// current take is analysed again by [`Session::catch_up`].
    pub fn correct(&mut self, take: u32, at: Second, begins: Option<bool>) {
        let Some(index) = looking::index(take) else { return };
        if let Some(figures) = self.figures_of.get_mut(index) {
            *figures = None;
        }
        if let Some(take) = self.takes.get_mut(index) {
            take.performance_mut().corrections.set(at, begins, self.settings.finer);
        } else if let Some(pass) = self.pass.as_mut().filter(|_| index == self.takes.len()) {
            pass.take.performance_mut().corrections.set(at, begins, self.settings.finer);
            pass.analyser = Analyser::new(self.settings);
        }
        self.corrections_changed();
    }

    /// Puts a finished take on the beat grid of these anchors, or with `None` on the host's. Takes some
    /// 100 ns a note. Returns whether the take exists.
    pub fn set_grid(&mut self, take: TakeId, anchors: Option<&Anchors>) -> bool {
        let Some(index) = self.takes.iter().position(|known| known.id == take) else {
            return false;
        };
        if let Some(take) = self.takes.get_mut(index) {
            take.performance_mut().set_grid(anchors);
        }
        if let Some(figures) = self.figures_of.get_mut(index) {
            *figures = None;
        }
        self.corrections_changed();
        true
    }

    /// A snapshot of the shown take: see [`Session::look_at`].
    pub fn snapshot(&mut self) -> Snapshot {
        self.catch_up(usize::MAX);
        let newest = self.newest();
        let chosen = self.chosen(&newest);
        let takes = self.take_list(&newest);
        let TakeOverview { phrases, before, figures, feel, roles } = newest;
        let own_beat = self.own_beat();
        let is_sure = own_beat.is_none_or(|beat| beat.line.is_some() && beat.doubt.is_none());
        let mut alerts = standing(&figures.streaks, &self.settings.alerts);
        alerts.retain(|alert| is_sure || !alert.depends_on_position());
        let shown = self.shown_take().map(|take| &take.performance);
        Snapshot {
            grid: self.grid,
            own_beat,
            recording: self.recording,
            take: self.shown_number(),
            takes,
            looking: self.looking,
            chosen,
            phrases,
            phrases_before: before,
            figures,
            feel,
            roles,
            alerts,
            metres: match &self.pass {
                Some(pass) => pass.take.performance.metres.clone(),
                None => self.song.clone().unwrap_or_else(|| Performance::default().metres),
            },
            taught: self.teaching.taught,
            beat_one_offset: self.settings.beat_one_offset,
            pulse: self.settings.pulse,
            notes: shown.map_or(0, |p| p.soloist.notes().len()),
            notes_outside: shown.map_or(0, |p| p.ignored.notes().len() - p.bleed_notes()),
            bleed_notes: shown.map_or(0, |p| p.bleed_notes()),
            notes_without_grid: self.loose.soloist.notes().len() + self.loose.ignored.notes().len(),
            newest_note: ReceivedNote::newest(shown.into_iter().map(|p| &**p).chain([&self.loose])),
            oddities: shown
                .map(|p| p.soloist.oddities().plus(p.ignored.oddities()))
                .unwrap_or_default(),
        }
    }
}

#[cfg(test)]
mod tests;
