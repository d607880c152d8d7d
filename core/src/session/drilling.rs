//! A drill that runs while takes are played. What is played becomes a take all the same.
//!
//! A finished take is counted from its analysis, which is slow for a long take. A job can make the
//! analysis and hand it in by [`Session::adopt`]; otherwise the session makes it when the drill's result
//! is asked for.

use super::{Pass, Session};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::practice::{Drill, DrillError, DrillReport, Listener};
use crate::take::Take;
use crate::take::performance::Performance;
use crate::time::Second;
use std::collections::VecDeque;
use std::sync::Arc;

/// A running drill.
#[derive(Debug, Clone)]
pub(super) struct Drilling {
    listener: Listener,
    /// Its state before the pending takes and the current one: a finished take is counted as a whole.
    before: Listener,
    /// Finished takes that it has not counted yet, in order.
    pending: VecDeque<PendingTake>,
}

/// A finished take that the drill has not counted yet.
#[derive(Debug, Clone)]
struct PendingTake {
    take: Arc<Performance>,
    ended: Ended,
}

/// How a take ended.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ended {
    pub at: Second,
    /// The host looped: the next take continues right there.
    pub loops: bool,
}

impl Session {
    /// Starts a drill, in place of a running one. It joins the current take at the current moment.
    ///
    /// # Errors
    /// Why the drill can't be practised; nothing has changed then.
    pub fn start_drill(&mut self, drill: Drill) -> Result<(), DrillError> {
        let waits = self.own_beat().is_some_and(|beat| beat.line.is_none());
        let pass = self.pass.as_ref().filter(|_| !waits);
        let from = pass.and_then(|pass| pass.take.performance.tempo.beat_at(self.now));
        let listener = Listener::new(drill, &self.settings, from)?;
        let pending = VecDeque::new();
        self.drilling = Some(Drilling { before: listener.clone(), listener, pending });
        Ok(())
    }

    /// Ends the running drill and returns its result.
    pub fn end_drill(&mut self) -> Option<DrillReport> {
        let report = self.drill().map(Listener::report);
        self.drilling = None;
        report
    }

    /// The running drill, with everything counted that was played so far.
    pub fn drill(&mut self) -> Option<&Listener> {
        self.feed_pending_to_drill();
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
    pub fn pending_take(&self) -> Option<&Arc<Performance>> {
        self.drilling.as_ref()?.pending.front().map(|pending| &pending.take)
    }

    /// Counts a finished take in the drill if it is the next pending one. Returns whether it was.
    pub(super) fn feed_drill(&mut self, analysis: &TakeAnalysis) -> bool {
        let Some(Drilling { listener, before, pending }) = &mut self.drilling else { return false };
        let is_next = |next: &mut PendingTake| analysis.is_of(&next.take, &self.settings);
        let Some(PendingTake { ended, .. }) = pending.pop_front_if(is_next) else { return false };
        before.leave(analysis.take(), analysis.phrases(), ended.at, ended.loops);
        if pending.is_empty() {
            listener.clone_from(before);
        }
        true
    }

    /// Counts every pending take in the drill.
    pub(super) fn feed_pending_to_drill(&mut self) {
        while let Some(take) = self.pending_take().cloned() {
            self.feed_drill(&TakeAnalysis::of(take, self.settings));
        }
    }

    /// Adds a finished take to the drill's pending ones.
    pub(super) fn queue_for_drill(&mut self, take: &Arc<Performance>, ended: Ended) {
        if let Some(drilling) = &mut self.drilling {
            drilling.pending.push_back(PendingTake { take: take.clone(), ended });
        }
    }

    /// Has the drill count the current take from its beginning again: its beats have changed.
    pub(super) fn rewind_drill(&mut self) {
        if let Some(Drilling { listener, before, pending }) = &mut self.drilling
            && pending.is_empty()
        {
            listener.clone_from(before);
        }
    }

    /// Applies the settings in force to the drill.
    pub(super) fn update_drill_settings(&mut self) {
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

    /// A host at 60 BPM, so that a second is a beat. It reports its position twice a beat, and calls
    /// `ask` after each event.
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

    fn positions(report: &DrillReport) -> Vec<(u32, u32, bool)> {
        let share = |goal: &GoalResult| match goal {
            GoalResult::UnbrokenLine(line) => line.places,
            other => panic!("{other:?}"),
        };
        let each = report.choruses.iter().map(|c| (share(&c.goals[0]), c.complete));
        each.map(|(Share { count, of }, complete)| (count, of, complete)).collect()
    }

    /// Asks after each event or never, over a start in mid-take, a stop and a second take.
    #[test]
    fn the_count_does_not_depend_on_when_it_is_asked_for() {
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
        assert_eq!(positions(&heard[0]), whole);
        assert_eq!(heard[0], heard[1]);
    }

    #[test]
    fn a_loop_is_not_counted_in_again() {
        let never = |_: &mut Session| {};
        let mut host = Host { session: Session::default(), now: 0.0, ask: &never };
        host.session.start_drill(quarters(0, 2)).unwrap();
        (0..2).for_each(|_| host.roll(0, 8, |_| true, true));
        host.stop();
        assert_eq!(host.session.drill().unwrap().progress().state, DrillState::Over);
        let report = host.session.end_drill().unwrap();
        assert_eq!(positions(&report), [(8, 8, true), (8, 8, true)]);
        assert!(report.over && report.passed);
        assert!(host.session.drill().is_none());
    }

    #[test]
    fn a_drill_waits_for_the_transport_and_an_impossible_one_is_refused() {
        let mut session = Session::default();
        session.start_drill(quarters(0, 1)).unwrap();
        assert_eq!(session.drill().unwrap().progress().state, DrillState::Idle);
        let fault = session.start_drill(Drill { choruses: 0, ..quarters(0, 1) }).unwrap_err();
        assert_eq!(fault.field, "choruses");
        assert!(session.drill().is_some(), "the running one continues");
    }
}
