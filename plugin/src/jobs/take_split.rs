//! Splits and merges takes on a thread of its own, which finds the solos, makes the new takes and packs them.
//! The worker replaces the old takes.

use crate::jobs::analyses::Analyses;
use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use overbar_core::analysis::solos::solos;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::take::settings::Settings;
use overbar_core::time::Second;
use overbar_library::LibraryError;
use overbar_library::take_store::{TakeCopy, TakeParts, TakeStore};
use std::collections::VecDeque;
use std::sync::{Arc, Mutex};

/// The job.
#[derive(Default)]
pub struct TakeSplit {
    thread: JobThread,
    state: Mutex<State>,
    done: Arc<Mutex<Option<Done>>>,
}

/// A request for finished takes.
#[derive(Debug, Clone)]
pub enum Wanted {
    /// A take split into its solos.
    Solos(TakeId),
    /// A take split: notes from this second on are the second part.
    Split(TakeId, Second),
    /// Takes merged in this order.
    Merged(Vec<TakeId>),
}

#[derive(Default)]
struct State {
    /// Requests, in order.
    asked: VecDeque<Wanted>,
    /// The first of them is in progress.
    at_work: bool,
}

/// The takes, and everything that the result depends on.
#[derive(Clone)]
struct Request {
    takes: Vec<TakeCopy>,
    how: How,
}

#[derive(Clone, PartialEq)]
enum How {
    Solos(Settings, Vec<Second>),
    Split(Second),
    Merged,
}

/// The parts; `None` after an internal error.
type Done = (Request, Option<Result<TakeParts, LibraryError>>);

impl Request {
    /// `None` if a take is missing.
    fn of(
        wanted: &Wanted,
        session: &Session,
        store: &mut TakeStore,
        marks_of: impl FnOnce(TakeId, &TakeStore) -> Vec<Second>,
    ) -> Option<Self> {
        let (ids, how) = match wanted {
            Wanted::Solos(id) => {
                (core::slice::from_ref(id), How::Solos(*session.settings(), marks_of(*id, store)))
            }
            Wanted::Split(id, at) => (core::slice::from_ref(id), How::Split(*at)),
            Wanted::Merged(ids) => (ids.as_slice(), How::Merged),
        };
        let takes = ids.iter().map(|id| store.copy(session, *id));
        Some(Self { takes: takes.collect::<Option<_>>()?, how })
    }

    fn is_same(&self, other: &Self) -> bool {
        let notes = |request: &Self| -> Vec<_> {
            request.takes.iter().map(|take| Arc::as_ptr(take.notes())).collect()
        };
        notes(self) == notes(other) && self.how == other.how
    }

    fn parts(mut self, analyses: &Analyses) -> Result<TakeParts, LibraryError> {
        let places = match self.how {
            How::Merged => return TakeParts::merge(self.takes),
            How::Split(at) => vec![at],
            How::Solos(settings, marks) => {
                let take = self.takes.first().ok_or(LibraryError::Missing)?;
                solo_starts(&analyses.of(take.notes(), &settings), &marks)
            }
        };
        TakeParts::split(self.takes.pop().ok_or(LibraryError::Missing)?, &places)
    }
}

/// The start of each solo but the first.
fn solo_starts(analysis: &TakeAnalysis, marks: &[Second]) -> Vec<Second> {
    let first = |solo: &core::ops::Range<usize>| {
        let note = analysis.phrases().get(solo.start)?.first_note;
        Some(analysis.take().soloist.notes().get(note)?.on.second)
    };
    solos(analysis, marks).iter().skip(1).filter_map(first).collect()
}

impl TakeSplit {
    /// Queues a split or merge of finished takes.
    pub fn ask(&self, wanted: Wanted) {
        lock(&self.state).asked.push_back(wanted);
    }

    /// Replaces takes whose parts are ready, and starts on the next request. Parts of a take that has changed
    /// meanwhile are made again. Returns whether takes were replaced.
    ///
    /// # Errors
    /// Why takes cannot be split or merged.
    pub fn advance(
        &self,
        session: &mut Session,
        store: &mut TakeStore,
        analyses: &Arc<Analyses>,
        marks_of: impl FnOnce(TakeId, &TakeStore) -> Vec<Second>,
    ) -> Result<bool, LibraryError> {
        let mut state = lock(&self.state);
        let done = lock(&self.done).take();
        state.at_work &= done.is_none();
        let Some(wanted) = state.asked.front().filter(|_| !state.at_work) else {
            return Ok(false);
        };
        let Some(request) = Request::of(wanted, session, store, marks_of) else {
            state.asked.pop_front();
            return Err(LibraryError::Missing);
        };
        if let Some((_, parts)) = done.filter(|(made_of, _)| made_of.is_same(&request)) {
            state.asked.pop_front();
            let failed = || LibraryError::Message("Couldn't change the take.".to_owned());
            store.replace(session, parts.ok_or_else(failed)??);
            return Ok(true);
        }
        let (done, analyses) = (self.done.clone(), analyses.clone());
        let given = self.thread.run(move || {
            let parts = guard(|| request.clone().parts(&analyses));
            *lock(&done) = Some((request, parts));
        });
        match given {
            Ok(()) => state.at_work = true,
            Err(why) => {
                state.asked.pop_front();
                return Err(LibraryError::Message(format!("Couldn't change the take: {why}.")));
            }
        }
        Ok(false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_core::input::event::{Event, NoteOff, NoteOn};
    use overbar_core::time::transport::TransportPoint;

    /// A take of forty notes, four a second.
    fn played() -> Session {
        let mut session = Session::default();
        let point = TransportPoint {
            beat: Some(0.0),
            tempo: Some(120.0),
            metre: Some((4, 4)),
            rolling: true,
            ..TransportPoint::default()
        };
        session.push(Event::Transport(point));
        for note in 0..40_u8 {
            let (at, key, channel) = (f64::from(note) / 4.0, Some(60 + note % 12), Some(0));
            let (on, off) = (Second(at), Second(at + 0.2));
            session.push(Event::On(NoteOn { at: on, beat: None, key, channel, velocity: 0.7 }));
            session.push(Event::Off(NoteOff { at: off, beat: None, key, channel }));
        }
        session.finish();
        session
    }

    /// It is corrected after the request, and again during the split.
    #[test]
    fn a_take_is_split_into_solos_with_its_latest_corrections() {
        let (mut session, mut store) = (played(), TakeStore::default());
        let (split, analyses) = (TakeSplit::default(), Arc::default());
        store.sync(&session);
        let id = session.takes()[0].id;
        let mark = Second(5.0);
        let advance = |session: &mut Session, store: &mut TakeStore| {
            split.advance(session, store, &analyses, |_, _| vec![mark])
        };
        split.ask(Wanted::Solos(id));
        split.ask(Wanted::Solos(TakeId(77)));
        assert!(!advance(&mut session, &mut store).unwrap());
        session.correct(1, mark, Some(true));
        while !advance(&mut session, &mut store).unwrap() {
            std::thread::yield_now();
        }
        let parts = session.takes().iter().map(|take| take.performance.soloist.notes().len());
        assert_eq!(parts.collect::<Vec<_>>(), [20, 20]);
        let corrected = |take: &overbar_core::take::Take| take.performance.corrections.at(mark);
        assert_eq!(corrected(&session.takes()[1]), Some(true));
        assert!(advance(&mut session, &mut store).is_err(), "there is no such take");
        store.undo(&mut session);
        assert_eq!(session.takes().len(), 1);
    }
    #[test]
    fn requests_are_carried_out_in_order() {
        let (mut session, mut store) = (played(), TakeStore::default());
        let (split, analyses) = (TakeSplit::default(), Arc::default());
        let advance = |session: &mut Session, store: &mut TakeStore| {
            while !split.advance(session, store, &analyses, |_, _| Vec::new()).unwrap() {
                std::thread::yield_now();
            }
            session.takes().iter().map(|take| take.performance.soloist.notes().len()).collect()
        };
        split.ask(Wanted::Split(session.takes()[0].id, Second(2.5)));
        let lengths: Vec<usize> = advance(&mut session, &mut store);
        assert_eq!(lengths, [10, 30]);
        split.ask(Wanted::Merged(session.takes().iter().map(|take| take.id).collect()));
        split.ask(Wanted::Merged(Vec::new()));
        let lengths: Vec<usize> = advance(&mut session, &mut store);
        assert_eq!(lengths, [40]);
        let error = loop {
            match split.advance(&mut session, &mut store, &analyses, |_, _| Vec::new()) {
                Ok(merged) => assert!(!merged),
                Err(why) => break why,
            }
        };
        assert!(matches!(error, LibraryError::CannotMerge(_)), "{error}");
        store.undo(&mut session);
        store.undo(&mut session);
        assert_eq!(session.takes().len(), 1);
    }
}
