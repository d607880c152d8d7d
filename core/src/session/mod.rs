//! Everything heard since the plugin was opened: takes, one a rolling pass, and what came
//! without a beat grid. Takes in events in order of time and gives snapshots.

mod looking;
mod notes;
mod rolling;
mod teaching;

use crate::alerts::standing;
use crate::analyser::{Analyser, Newest, WholeReading};
use crate::clock::SongClock;
use crate::event::Event;
use crate::metre_map::MetreMap;
use crate::pairing::Cut;
use crate::performance::Performance;
use crate::phrase::Phrase;
use crate::settings::Settings;
use crate::snapshot::{GridState, Snapshot};
use crate::song_event::SongEvents;
use crate::take_list::TakeFigures;
use crate::time::{Beat, Moment, Second};
pub use looking::Looking;
use looking::Shown;
pub use teaching::Taught;

/// All that has been heard.
#[derive(Debug, Clone, Default)]
pub struct Session {
    settings: Settings,
    clock: SongClock,
    grid: GridState,
    recording: bool,
    /// What is known of the song's metres; `None` before the first signature.
    song: Option<MetreMap>,
    takes: Vec<Performance>,
    /// What the corrections of all takes teach.
    taught: Option<Taught>,
    looking: Looking,
    /// What was last read of a take, and the take's index.
    read: Option<(usize, Newest)>,
    /// The places of the take a phrase of which is looked into, by its index.
    places: Option<(usize, WholeReading)>,
    /// Figures of takes for the list, as far as they have been read.
    figures_of: Vec<Option<TakeFigures>>,
    pass: Option<Pass>,
    /// Notes without a rolling beat grid.
    loose: Performance,
    events: SongEvents,
    /// Notes at the very end of a loop, until it is known whether it goes round.
    held_back: Vec<Event>,
    cycle: Option<(Beat, Beat)>,
}

/// A pass under way.
#[derive(Debug, Clone)]
struct Pass {
    performance: Performance,
    analyser: Analyser,
}

impl Session {
    /// An empty session.
    #[must_use]
    pub fn new(settings: Settings) -> Self {
        Self { settings, ..Self::default() }
    }

    /// The takes that are over, in order; passes without notes are not takes.
    #[must_use]
    pub fn takes(&self) -> &[Performance] {
        &self.takes
    }

    /// The take that is under way, if there is one with notes.
    #[must_use]
    pub fn current(&self) -> Option<&Performance> {
        self.pass.as_ref().map(|p| &p.performance).filter(|p| !p.is_silent())
    }

    /// Notes that came without a rolling beat grid.
    #[must_use]
    pub fn loose(&self) -> &Performance {
        &self.loose
    }

    /// What the transport did, the newest last.
    #[must_use]
    pub fn events(&self) -> &SongEvents {
        &self.events
    }

    /// The settings in force.
    #[must_use]
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// Puts takes from elsewhere, in order, before those heard here.
    pub fn restore(&mut self, takes: Vec<Performance>) {
        let before = u32::try_from(takes.len()).unwrap_or(u32::MAX);
        self.looking.take = self.looking.take.map(|take| take.saturating_add(before));
        self.takes.splice(0..0, takes);
        self.taught = self.learn();
        self.forget_what_was_read();
    }

    /// Begins anew with what was played, and without anything that was made of it: for after an
    /// error. The take under way ends here.
    pub fn begin_anew(&mut self) {
        let mut takes = core::mem::take(&mut self.takes);
        takes.extend(self.current().cloned());
        let loose = core::mem::take(&mut self.loose);
        *self = Self { takes, loose, taught: self.taught, ..Self::new(self.settings) };
    }

    /// Changes the settings; everything is read anew.
    pub fn set(&mut self, settings: Settings) {
        if settings == self.settings {
            return;
        }
        let hearing_changed = settings.hearing != self.settings.hearing;
        self.settings = settings;
        self.forget_what_was_read();
        let current = self.pass.iter_mut().map(|p| &mut p.performance);
        if hearing_changed {
            for performance in self.takes.iter_mut().chain(current).chain([&mut self.loose]) {
                performance.hear_again(&settings.hearing);
            }
        }
        if let Some(pass) = &mut self.pass {
            pass.analyser = Analyser::new(settings);
            pass.analyser.follow(&pass.performance);
        }
    }

    /// Takes the next event.
    pub fn push(&mut self, event: Event) {
        match event {
            Event::Transport(point) => self.transport(&point),
            _ if self.is_for_the_next_round(&event) => self.held_back.push(event),
            Event::On(on) => self.note_on(&on),
            Event::Off(off) => self.note_off(&off),
        }
    }

    /// Ends the pass under way: no more events will come.
    pub fn finish(&mut self) {
        self.release(|_| None);
        if let Some(pass) = &mut self.pass {
            pass.performance.heard.cut(Cut::End, Moment::default());
            pass.performance.outside.cut(Cut::End, Moment::default());
        }
        self.close_pass();
    }

    /// The phrases of the take that is shown: see [`Session::look_at`].
    pub fn phrases(&mut self) -> Vec<Phrase> {
        match (self.shown(), &mut self.pass) {
            (Shown::UnderWay, Some(pass)) => pass.analyser.phrases(&pass.performance),
            (Shown::Take(index), _) => self
                .takes
                .get(index)
                .map(|take| Analyser::phrases_of(take, self.settings))
                .unwrap_or_default(),
            _ => Vec::new(),
        }
    }

    /// Says by hand whether a phrase begins at the onset that was played at second `at` of take
    /// `take`, counted from 1 as in [`Snapshot::take`]; `None` leaves it to the ear. A take's
    /// first onset always begins one.
    pub fn correct(&mut self, take: u32, at: Second, begins: Option<bool>) {
        let Some(index) = looking::index(take) else { return };
        if self.read.as_ref().is_some_and(|(read, _)| *read == index) {
            self.read = None;
        }
        self.places = None;
        if let Some(figures) = self.figures_of.get_mut(index) {
            *figures = None;
        }
        if let Some(take) = self.takes.get_mut(index) {
            take.corrections.set(at, begins, self.settings.finer);
        } else if let Some(pass) = self.pass.as_mut().filter(|_| index == self.takes.len()) {
            pass.performance.corrections.set(at, begins, self.settings.finer);
            pass.analyser = Analyser::new(self.settings);
            pass.analyser.follow(&pass.performance);
        }
        self.taught = self.learn();
    }

    /// A picture of the take that is shown: see [`Session::look_at`].
    pub fn snapshot(&mut self) -> Snapshot {
        let newest = self.newest();
        let chosen = self.chosen(&newest);
        let takes = self.take_list(&newest);
        let Newest { phrases, before, figures, feel, roles } = newest;
        let alerts = standing(&figures.streaks, &self.settings.alerts);
        let shown = self.shown_performance();
        Snapshot {
            grid: self.grid,
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
                Some(pass) => pass.performance.metres.clone(),
                None => self.song.clone().unwrap_or_else(|| Performance::default().metres),
            },
            taught: self.taught,
            beat_one_offset: self.settings.beat_one_offset,
            notes: shown.map_or(0, |p| p.heard.notes().len()),
            notes_outside: shown.map_or(0, |p| p.outside.notes().len()),
            notes_without_grid: self.loose.heard.notes().len() + self.loose.outside.notes().len(),
            oddities: shown
                .map(|p| p.heard.oddities().plus(p.outside.oddities()))
                .unwrap_or_default(),
        }
    }
}

#[cfg(test)]
mod tests;
