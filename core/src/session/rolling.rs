//! Follows the transport: passes begin, continue and end.

use super::drilling::Ended;
use super::{Pass, Session};
use crate::analysis::analyser::Analyser;
use crate::input::pairing::Cut;
use crate::session::snapshot::{GridState, Looking};
use crate::session::song_event::SongEvent;
use crate::take::Take;
use crate::take::performance::Performance;
use crate::take::playback::{Likeness, is_playback};
use crate::time::clock::Step;
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::Knot;
use crate::time::transport::{GridPoint, TransportPoint};
use crate::time::{Beat, Moment, Second};

/// How many beats before its bar line a change of metre can affect a position: a note may anticipate the
/// bar line.
const ANTICIPATION: f64 = 1.0;

impl Session {
    pub(super) fn transport(&mut self, point: &TransportPoint) {
        let punched = self.recording != point.records() && self.settings.passes.recorded_only;
        self.recording = point.records();
        let step = self.clock.observe(point);
        if !matches!(step, Step::Wrapped { .. }) {
            self.release(|_| None);
        }
        match step {
            Step::NoGrid(why) => {
                self.stop(point.at);
                self.report_once(
                    GridState::Missing(why),
                    SongEvent::GridLost { at: point.at, why },
                );
            }
            Step::Stopped => {
                self.stop(point.at);
                self.report_once(GridState::Stopped, SongEvent::Stopped { at: point.at });
            }
            Step::Started(grid) => {
                self.begin(point.at, grid, None);
                self.looking = Looking::default();
                self.events.push(SongEvent::Started { at: point.at, beat: grid.beat });
            }
            Step::RolledOn { grid, knots, previous, before } => {
                if self.pass.is_none() {
                    self.begin(point.at, grid, None);
                }
                self.roll_on(&grid, previous, before, &knots);
                if punched {
                    self.cut(Cut::Jump, point.at);
                    self.begin(point.at, grid, None);
                }
            }
            Step::Jumped { from, to } => {
                self.cut(Cut::Jump, point.at);
                self.begin(point.at, to, Some(Ended { at: point.at, loops: false }));
                self.events.push(SongEvent::Jumped { at: point.at, from, to: to.beat });
            }
            Step::Wrapped { at, start, to } => {
                self.cut(Cut::Jump, at);
                let ended = Some(Ended { at, loops: true });
                self.begin(at, GridPoint { beat: start, ..to }, ended);
                self.release(|second| Some(if second < at { at } else { second }));
                let knot = Knot { second: point.at, beat: to.beat, tempo: to.tempo };
                if let Some(pass) = &mut self.pass {
                    pass.take.performance_mut().host_grid_mut().0.push(knot);
                }
                self.events.push(SongEvent::Looped { at, to: start });
            }
        }
        if let Some(pass) = &mut self.pass {
            pass.recorded |= point.records();
        }
        self.cycle = point.sound_cycle().filter(|_| self.pass.is_some());
    }

    /// Begins a pass at second `at`. `ended` is how the pass before ended, if the drill counts it.
    pub(super) fn begin(&mut self, at: Second, grid: GridPoint, ended: Option<Ended>) {
        let cut = self.close_pass(ended);
        if self.looking.take.is_none() {
            self.looking.note = None;
        }
        let mut song = self.song.take().unwrap_or_else(|| MetreMap::new(grid.metre));
        song.assume(grid.beat, grid.metre);
        let mut performance = Performance::new(song);
        performance.tempo.push(Knot { second: at, beat: grid.beat, tempo: grid.tempo });
        performance.expect_offs(cut, &self.settings.hearing);
        let take = Take::new(self.next, performance);
        self.next = self.next.following();
        self.pass = Some(Pass { take, recorded: false, analyser: Analyser::new(self.settings) });
        self.resume_beats();
        self.grid = GridState::Rolling;
    }

    fn roll_on(&mut self, grid: &GridPoint, previous: Beat, before: Beat, knots: &[Knot]) {
        self.grid = GridState::Rolling;
        let Some(Pass { take, analyser, .. }) = &mut self.pass else { return };
        let performance = take.performance_mut();
        if performance.own_grid.is_some() {
            let (tempo, metres) = performance.host_grid_mut();
            knots.iter().for_each(|knot| tempo.push(*knot));
            metres.observe(previous, before, grid.beat, grid.metre);
            return;
        }
        let mut touched = None;
        for knot in knots {
            performance.tempo.push(*knot);
        }
        if let Some(first) = knots.first() {
            let tempo = &performance.tempo;
            touched = performance.soloist.restamp(first.second, |s| tempo.beat_at(s));
            performance.ignored.restamp(first.second, |s| tempo.beat_at(s));
        }
        if let Some(changed) = performance.metres.observe(previous, before, grid.beat, grid.metre) {
            let notes = performance.soloist.notes();
            let first = notes.partition_point(|n| n.on.beat.0 < changed.0 - ANTICIPATION);
            touched = Some(touched.map_or(first, |t| t.min(first)));
            self.events.push(SongEvent::MetreChanged { beat: changed, metre: grid.metre });
        }
        if let Some(first) = touched {
            analyser.invalidate_from(first);
        }
    }

    fn stop(&mut self, at: Second) {
        self.cut(Cut::Stop, at);
        let cut = self.close_pass(Some(Ended { at, loops: false }));
        self.loose.expect_offs(cut, &self.settings.hearing);
        self.following = None;
    }

    fn cut(&mut self, why: Cut, at: Second) {
        if let Some(pass) = &mut self.pass {
            let performance = pass.take.performance_mut();
            let beat = performance.tempo.beat_at(at).unwrap_or_default();
            performance.soloist.cut(why, Moment { beat, second: at });
            performance.ignored.cut(why, Moment { beat, second: at });
        }
    }

    /// Ends the current pass and keeps it if it is a take; the drill counts it if `ended` is given. Returns
    /// the keys whose note-off is still to come.
    pub(super) fn close_pass(&mut self, ended: Option<Ended>) -> Vec<(u8, u8)> {
        self.cycle = None;
        let Some(mut pass) = self.pass.take() else {
            return self.loose.hand_over_cut();
        };
        let performance = pass.take.performance_mut();
        let cut = performance.hand_over_cut();
        performance.shrink_to_fit();
        self.song = Some(performance.host_grid_mut().1.clone());
        self.settle_own_grid(performance);
        if let Some(ended) = ended {
            self.queue_for_drill(&pass.take.performance, ended);
        }
        if pass.is_a_take(&self.settings) {
            self.keep(pass);
        }
        cut
    }

    /// Adds a finished pass to the takes, unless it plays one of them back. A pass that the host recorded is
    /// no playback.
    fn keep(&mut self, Pass { mut take, recorded, .. }: Pass) {
        let likeness = match self.settings.passes.from_sound {
            true => Likeness::Sound,
            false => Likeness::Midi,
        };
        let known = |other: &&Take| is_playback(&take.performance, &other.performance, likeness);
        let of = self.takes.iter().find(known).filter(|_| !recorded);
        take.playback_of = of.map(|of| of.playback_of.unwrap_or(of.id));
        match take.playback_of {
            Some(of) if !self.settings.passes.keep_playback => {
                self.events.push(SongEvent::PlayedBack { take: of });
            }
            _ => self.takes.push(take),
        }
    }

    fn report_once(&mut self, grid: GridState, event: SongEvent) {
        if self.grid != grid {
            self.grid = grid;
            self.events.push(event);
        }
    }
}
