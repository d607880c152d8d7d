//! A drill that listens while takes are played. Notes do not stop being takes for it.
//!
//! A take that is over is heard whole, from its analysis, which takes long for a long take. Whoever
//! makes it elsewhere brings it by [`Session::adopt`]; otherwise the session makes it when it is
//! asked what was heard.

use super::{Pass, Session};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::practice::{Drill, DrillError, DrillReport, Listener};
use crate::take::Take;
use crate::take::performance::Performance;
use crate::time::Second;
use std::collections::VecDeque;
use std::sync::Arc;

/// A drill under way.
#[derive(Debug, Clone)]
pub(super) struct Drilling {
    listener: Listener,
    /// As it was before the take under way and those that it has yet to hear: a take that is over
    /// is heard whole.
    before: Listener,
    /// Finished takes that it has not counted yet, in order.
    unheard: VecDeque<Unheard>,
}

/// A finished take that the drill has not counted yet.
#[derive(Debug, Clone)]
struct Unheard {
    take: Arc<Performance>,
    ended: Ended,
}

/// How a take ended that a drill heard.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ended {
    pub at: Second,
    /// The next take goes on right there.
    pub goes_round: bool,
}

impl Session {
    /// Begins a drill, which joins the take under way where that is now. One that was under way
    /// is over.
    ///
    /// # Errors
    /// What makes it one that can't be practised; nothing has changed then.
    pub fn start_drill(&mut self, drill: Drill) -> Result<(), DrillError> {
        let waits = self.own_beat().is_some_and(|beat| beat.line.is_none());
        let pass = self.pass.as_ref().filter(|_| !waits);
        let from = pass.and_then(|pass| pass.take.performance.tempo.beat_at(self.now));
        let listener = Listener::new(drill, &self.settings, from)?;
        let unheard = VecDeque::new();
        self.drilling = Some(Drilling { before: listener.clone(), listener, unheard });
        Ok(())
    }

    /// Ends the drill under way and gives what was heard of it.
    pub fn end_drill(&mut self) -> Option<DrillReport> {
        let report = self.drill().map(Listener::report);
        self.drilling = None;
        report
    }

    /// The drill under way, which has counted all that was heard.
    pub fn drill(&mut self) -> Option<&Listener> {
        self.drill_hears_all();
        self.catch_up(usize::MAX);
        let Drilling { listener, .. } = self.drilling.as_mut()?;
        if let Some(Pass { take: Take { performance, .. }, analyser, .. }) = &mut self.pass {
            let phrases = match listener.looks_from(performance) {
                Some(from) => analyser.phrases_since(performance, from),
                None => analyser.phrases(performance),
            };
            listener.follow(performance, &phrases, self.now);
        }
        Some(listener)
    }

    /// The first finished take that the drill has not counted yet.
    #[must_use]
    pub fn unheard(&self) -> Option<&Arc<Performance>> {
        self.drilling.as_ref()?.unheard.front().map(|unheard| &unheard.take)
    }

    /// Counts a finished take in the drill if it is the next one. Returns whether it was.
    pub(super) fn drill_hears(&mut self, analysis: &TakeAnalysis) -> bool {
        let Some(Drilling { listener, before, unheard }) = &mut self.drilling else { return false };
        let is_next = |next: &mut Unheard| analysis.is_of(&next.take, &self.settings);
        let Some(Unheard { ended, .. }) = unheard.pop_front_if(is_next) else { return false };
        before.leave(analysis.take(), analysis.phrases(), ended.at, ended.goes_round);
        if unheard.is_empty() {
            listener.clone_from(before);
        }
        true
    }

    /// Counts every finished take that is still waiting for the drill.
    pub(super) fn drill_hears_all(&mut self) {
        while let Some(take) = self.unheard().cloned() {
            self.drill_hears(&TakeAnalysis::of(take, self.settings));
        }
    }

    /// Puts a take that is over with those that the drill has yet to hear.
    pub(super) fn drill_leaves(&mut self, take: &Arc<Performance>, ended: Ended) {
        if let Some(drilling) = &mut self.drilling {
            drilling.unheard.push_back(Unheard { take: take.clone(), ended });
        }
    }

    /// Has the drill hear the take under way from its beginning: its beats have changed.
    pub(super) fn drill_begins_the_take_anew(&mut self) {
        if let Some(Drilling { listener, before, unheard }) = &mut self.drilling
            && unheard.is_empty()
        {
            listener.clone_from(before);
        }
    }

    /// Has the drill go on with the settings in force.
    pub(super) fn drill_with_settings(&mut self) {
        if let Some(Drilling { listener, before, .. }) = &mut self.drilling {
            listener.set_bars(&self.settings);
            before.set_bars(&self.settings);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::event::{Event, NoteOff, NoteOn};
    use crate::practice::{DrillState, GoalResult, built_in};
    use crate::stats::Share;
    use crate::time::Beat;
    use crate::time::transport::TransportPoint;

    /// A host at 60 quarters a minute, so that a second is a beat, which tells where it is twice a
    /// beat. `ask` is done after each event.
    struct Host<'a> {
        session: Session,
        now: f64,
        ask: &'a dyn Fn(&mut Session),
    }

    impl Host<'_> {
        /// Rolls from one beat to another and plays the quarters of `played`.
        fn roll(&mut self, from: i32, to: i32, played: impl Fn(i32) -> bool, cycle: bool) {
            let mut push = |event| {
                self.session.push(event);
                (self.ask)(&mut self.session);
            };
            for half in 0..(to - from) * 2 {
                let beat = f64::from(from) + f64::from(half) / 2.0;
                push(Event::Transport(TransportPoint {
                    at: Second(self.now),
                    block_before: Some(Second(self.now - 0.5)),
                    beat: Some(beat),
                    tempo: Some(60.0),
                    metre: Some((4, 4)),
                    rolling: true,
                    cycle: cycle.then_some((f64::from(from), f64::from(to))),
                    ..TransportPoint::default()
                }));
                let (key, channel) = (Some(60), Some(0));
                if half % 2 == 0 && played(from + half / 2) {
                    let (at, velocity) = (Second(self.now + 0.01), 0.7);
                    let on = NoteOn { at, beat: Some(Beat(beat + 0.01)), key, channel, velocity };
                    push(Event::On(on));
                    let (at, beat) = (Second(self.now + 0.45), Some(Beat(beat + 0.45)));
                    push(Event::Off(NoteOff { at, beat, key, channel }));
                }
                self.now += 0.5;
            }
        }

        fn stop(&mut self) {
            let at = Second(self.now);
            let point = TransportPoint { at, tempo: Some(60.0), ..TransportPoint::default() };
            self.session.push(Event::Transport(TransportPoint { beat: Some(0.0), ..point }));
            self.now += 1.0;
        }
    }

    fn quarters(count_in: u32, choruses: u32) -> Drill {
        let mut drill = built_in("line quarter").unwrap();
        (drill.form.bars, drill.form.count_in, drill.choruses) = (2, count_in, choruses);
        drill
    }

    fn places(report: &DrillReport) -> Vec<(u32, u32, bool)> {
        let share = |goal: &GoalResult| match goal {
            GoalResult::UnbrokenLine(line) => line.places,
            other => panic!("{other:?}"),
        };
        let each = report.choruses.iter().map(|c| (share(&c.goals[0]), c.complete));
        each.map(|(Share { count, of }, complete)| (count, of, complete)).collect()
    }

    /// Asked after each event or never, over a start in mid-take, a stop and a second take.
    #[test]
    fn what_is_counted_does_not_depend_on_who_asks() {
        let ask = |session: &mut Session| drop(session.drill().map(Listener::report));
        let never = |_: &mut Session| {};
        let heard = [&ask as &dyn Fn(&mut Session), &never].map(|ask| {
            let mut host = Host { session: Session::default(), now: 0.0, ask };
            host.roll(0, 6, |_| true, false);
            host.session.start_drill(quarters(1, 3)).unwrap();
            // It was joined in bar 2: counted in over bar 3, a chorus over bars 4 and 5.
            host.roll(6, 24, |beat| beat != 14, false);
            host.stop();
            host.roll(0, 16, |beat| beat != 7, false);
            host.stop();
            assert_eq!(host.session.takes().len(), 2);
            host.session.end_drill().unwrap()
        });
        // The second chorus was cut short by the stop; the last two are of the second take.
        let whole = vec![(7, 8, true), (4, 4, false), (7, 8, true), (4, 4, false)];
        assert_eq!(places(&heard[0]), whole);
        assert_eq!(heard[0], heard[1]);
    }

    #[test]
    fn a_loop_that_goes_round_is_not_counted_in_again() {
        let never = |_: &mut Session| {};
        let mut host = Host { session: Session::default(), now: 0.0, ask: &never };
        host.session.start_drill(quarters(0, 2)).unwrap();
        (0..2).for_each(|_| host.roll(0, 8, |_| true, true));
        host.stop();
        assert_eq!(host.session.drill().unwrap().progress().state, DrillState::Over);
        let report = host.session.end_drill().unwrap();
        assert_eq!(places(&report), [(8, 8, true), (8, 8, true)]);
        assert!(report.over && report.passed);
        assert!(host.session.drill().is_none());
    }

    #[test]
    fn a_drill_waits_for_the_transport_and_one_that_cannot_be_is_refused() {
        let mut session = Session::default();
        session.start_drill(quarters(0, 1)).unwrap();
        assert_eq!(session.drill().unwrap().progress().state, DrillState::Idle);
        let fault = session.start_drill(Drill { choruses: 0, ..quarters(0, 1) }).unwrap_err();
        assert_eq!(fault.field, "choruses");
        assert!(session.drill().is_some(), "the one before goes on");
    }
}
