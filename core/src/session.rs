//! Everything heard since the plugin was opened: takes, one a rolling pass, and what came
//! without a beat grid. Takes in events in order of time and gives snapshots.

use crate::alerts::standing;
use crate::analyser::Analyser;
use crate::clock::{SongClock, Step};
use crate::event::{Event, NoteOff, NoteOn};
use crate::figures::figures;
use crate::metre::Metre;
use crate::metre_map::MetreMap;
use crate::pairing::Cut;
use crate::performance::Performance;
use crate::phrase::Phrase;
use crate::settings::Settings;
use crate::snapshot::{GridState, SHOWN_PHRASES, Snapshot};
use crate::song_event::{SongEvent, SongEvents};
use crate::tempo_map::Knot;
use crate::time::{Beat, Moment, Second};
use crate::transport::{GridPoint, TransportPoint};

/// A note this close before a loop's end belongs to the round that begins there: hosts deliver
/// the first note of a round up to this much early. In beats.
const EARLY_FOR_THE_ROUND: f64 = 0.002;

/// How many beats back a change of metre can matter to a place: a note ahead of a bar line.
const ANTICIPATION: f64 = 1.0;

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
        self.takes.splice(0..0, takes);
    }

    /// Changes the settings; everything is read anew.
    pub fn set(&mut self, settings: Settings) {
        if settings == self.settings {
            return;
        }
        let hearing_changed = settings.hearing != self.settings.hearing;
        self.settings = settings;
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

    /// The phrases of the current take, or of the last one when none is under way.
    pub fn phrases(&mut self) -> Vec<Phrase> {
        match (&mut self.pass, self.takes.last()) {
            (Some(pass), last) if !pass.performance.is_silent() || last.is_none() => {
                pass.analyser.phrases(&pass.performance)
            }
            (_, Some(last)) => Analyser::phrases_of(last, self.settings),
            (_, None) => Vec::new(),
        }
    }

    /// A picture of the current take, or of the last one when none is under way.
    pub fn snapshot(&mut self) -> Snapshot {
        let mut phrases = self.phrases();
        let figures = figures(&phrases, &self.settings.alerts);
        let alerts = standing(&figures.streaks, &self.settings.alerts);
        let phrases_before = phrases.len().saturating_sub(SHOWN_PHRASES);
        phrases.drain(..phrases_before);
        let under_way = self.current().is_some();
        let shown = self.current().or(self.takes.last());
        let takes = self.takes.len() + usize::from(under_way);
        Snapshot {
            grid: self.grid,
            recording: self.recording,
            take: u32::try_from(takes).unwrap_or(u32::MAX),
            phrases,
            phrases_before,
            figures,
            alerts,
            metres: match &self.pass {
                Some(pass) => pass.performance.metres.clone(),
                None => self.song.clone().unwrap_or_else(|| Performance::default().metres),
            },
            beat_one_offset: self.settings.beat_one_offset,
            notes: shown.map_or(0, |p| p.heard.notes().len()),
            notes_outside: shown.map_or(0, |p| p.outside.notes().len()),
            notes_without_grid: self.loose.heard.notes().len() + self.loose.outside.notes().len(),
            oddities: shown
                .map(|p| p.heard.oddities().plus(p.outside.oddities()))
                .unwrap_or_default(),
        }
    }

    fn transport(&mut self, point: &TransportPoint) {
        self.recording = point.recording;
        let step = self.clock.observe(point);
        if !matches!(step, Step::Wrapped { .. }) {
            self.release(|_| None);
        }
        match step {
            Step::NoGrid(why) => {
                self.stop(point.at);
                self.say_once(GridState::Missing(why), SongEvent::GridLost { at: point.at, why });
            }
            Step::Stopped => {
                self.stop(point.at);
                self.say_once(GridState::Stopped, SongEvent::Stopped { at: point.at });
            }
            Step::Started(grid) => {
                self.begin(point.at, grid);
                self.events.push(SongEvent::Started { at: point.at, beat: grid.beat });
            }
            Step::RolledOn { grid, knots, looked } => {
                if self.pass.is_none() {
                    self.begin(point.at, grid);
                }
                self.roll_on(grid.beat, looked, grid.metre, &knots);
            }
            Step::Jumped { from, to } => {
                self.cut(Cut::Jump, point.at);
                self.begin(point.at, to);
                self.events.push(SongEvent::Jumped { at: point.at, from, to: to.beat });
            }
            Step::Wrapped { at, start, to } => {
                self.cut(Cut::Jump, at);
                self.begin(at, GridPoint { beat: start, ..to });
                self.release(|second| Some(if second < at { at } else { second }));
                let knot = Knot { second: point.at, beat: to.beat, tempo: to.tempo };
                if let Some(pass) = &mut self.pass {
                    pass.performance.tempo.push(knot);
                }
                self.events.push(SongEvent::WentRound { at, to: start });
            }
        }
        self.cycle = point.sound_cycle().filter(|_| self.pass.is_some());
    }

    /// Begins a pass at second `at`.
    fn begin(&mut self, at: Second, grid: GridPoint) {
        let cut = self.close_pass();
        let mut song = self.song.take().unwrap_or_else(|| MetreMap::new(grid.metre));
        song.assume(grid.beat, grid.metre);
        let mut performance = Performance::new(song);
        performance.tempo.push(Knot { second: at, beat: grid.beat, tempo: grid.tempo });
        performance.expect_offs(cut, &self.settings.hearing);
        self.pass = Some(Pass { performance, analyser: Analyser::new(self.settings) });
        self.grid = GridState::Rolling;
    }

    fn roll_on(&mut self, now: Beat, looked: Beat, metre: Metre, knots: &[Knot]) {
        self.grid = GridState::Rolling;
        let Some(Pass { performance, analyser }) = &mut self.pass else { return };
        let mut touched = None;
        for knot in knots {
            performance.tempo.push(*knot);
        }
        if let Some(first) = knots.first() {
            let tempo = &performance.tempo;
            touched = performance.heard.restamp(first.second, |s| tempo.beat_at(s));
            performance.outside.restamp(first.second, |s| tempo.beat_at(s));
        }
        if let Some(changed) = performance.metres.observe(looked, now, metre) {
            let notes = performance.heard.notes();
            let first = notes.partition_point(|n| n.on.beat.0 < changed.0 - ANTICIPATION);
            touched = Some(touched.map_or(first, |t| t.min(first)));
            self.events.push(SongEvent::MetreChanged { beat: changed, metre });
        }
        if let Some(first) = touched {
            analyser.reread_from(first);
        }
    }

    fn stop(&mut self, at: Second) {
        self.cut(Cut::Stop, at);
        let cut = self.close_pass();
        self.loose.expect_offs(cut, &self.settings.hearing);
    }

    fn cut(&mut self, why: Cut, at: Second) {
        if let Some(pass) = &mut self.pass {
            let beat = pass.performance.tempo.beat_at(at).unwrap_or_default();
            pass.performance.heard.cut(why, Moment { beat, second: at });
            pass.performance.outside.cut(why, Moment { beat, second: at });
        }
    }

    /// Puts the pass under way with the takes. Returns the keys whose note-off is to come.
    fn close_pass(&mut self) -> Vec<(u8, u8)> {
        self.cycle = None;
        let Some(Pass { mut performance, .. }) = self.pass.take() else {
            return self.loose.hand_over_cut();
        };
        let cut = performance.hand_over_cut();
        self.song = Some(performance.metres.clone());
        if !performance.is_silent() {
            self.takes.push(performance);
        }
        cut
    }

    fn note_on(&mut self, on: &NoteOn) {
        let hearing = self.settings.hearing;
        let (key, channel) = (on.key.unwrap_or(60), on.channel.unwrap_or(0));
        let moment = self.moment(on.at, on.beat);
        match &mut self.pass {
            Some(pass) => {
                pass.performance.line_for(&hearing, key, channel).note_on(on, moment);
                pass.analyser.follow(&pass.performance);
            }
            None => self.loose.line_for(&hearing, key, channel).note_on(on, moment),
        }
    }

    fn note_off(&mut self, off: &NoteOff) {
        let hearing = self.settings.hearing;
        let moment = self.moment(off.at, off.beat);
        let performance = self.pass.as_mut().map_or(&mut self.loose, |p| &mut p.performance);
        match (off.key, off.channel) {
            (Some(key), Some(channel)) => {
                performance.line_for(&hearing, key, channel).note_off(off, moment);
            }
            _ => {
                performance.heard.note_off(off, moment);
                performance.outside.note_off(off, moment);
            }
        }
    }

    fn moment(&self, at: Second, stamped: Option<Beat>) -> Moment {
        let by_map = || self.pass.as_ref().and_then(|p| p.performance.tempo.beat_at(at));
        Moment { beat: stamped.or_else(by_map).unwrap_or_default(), second: at }
    }

    fn is_for_the_next_round(&self, event: &Event) -> bool {
        if !self.held_back.is_empty() {
            return true;
        }
        let (Some((_, end)), Event::On(on), Some(pass)) = (self.cycle, event, &self.pass) else {
            return false;
        };
        let began_inside = pass.performance.tempo.knots().last().is_some_and(|k| k.beat.0 < end.0);
        let beat = self.moment(on.at, on.beat).beat;
        began_inside && beat.0 >= end.0 - EARLY_FOR_THE_ROUND
    }

    /// Lets the notes that were held back go on: with `moved`, at the second it gives for
    /// theirs, and with the beat of the pass that is now under way.
    fn release(&mut self, moved: impl Fn(Second) -> Option<Second>) {
        for event in core::mem::take(&mut self.held_back) {
            match event {
                Event::On(mut on) => {
                    if let Some(second) = moved(on.at) {
                        (on.at, on.beat) = (second, None);
                    }
                    self.note_on(&on);
                }
                Event::Off(mut off) => {
                    if let Some(second) = moved(off.at) {
                        (off.at, off.beat) = (second, None);
                    }
                    self.note_off(&off);
                }
                Event::Transport(_) => {}
            }
        }
    }

    fn say_once(&mut self, grid: GridState, event: SongEvent) {
        if self.grid != grid {
            self.grid = grid;
            self.events.push(event);
        }
    }
}
