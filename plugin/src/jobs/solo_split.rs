//! Splits takes into their solos on a thread of its own, which finds where the solos begin, makes the
//! parts and packs them. The worker puts them in the place of the take.

use crate::jobs::analyses::Analyses;
use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use overbar_core::analysis::solos::solos;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::session::Session;
use overbar_core::settings::Settings;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use overbar_core::time::Second;
use overbar_library::LibraryError;
use overbar_library::take_store::{TakeParts, TakeStore};
use std::collections::VecDeque;
use std::sync::{Arc, Mutex};

/// See the module.
#[derive(Default)]
pub struct SoloSplit {
    thread: JobThread,
    state: Mutex<State>,
    done: Arc<Mutex<Option<Done>>>,
}

#[derive(Default)]
struct State {
    /// Takes to be split, in order.
    asked: VecDeque<TakeId>,
    /// The first of them is being split.
    splitting: bool,
}

/// A take and all that decides where its solos begin.
#[derive(Clone)]
struct Request {
    notes: Arc<Performance>,
    settings: Settings,
    marks: Vec<Second>,
}

/// The parts; `None` after an error of ours.
type Done = (Request, Option<Result<TakeParts, LibraryError>>);

impl Request {
    fn of(
        session: &Session,
        id: TakeId,
        marks_of: impl FnOnce(TakeId) -> Vec<Second>,
    ) -> Option<Self> {
        let take = session.takes().iter().find(|take| take.id == id)?;
        let (notes, settings) = (take.performance.clone(), *session.settings());
        Some(Self { notes, settings, marks: marks_of(id) })
    }

    fn is_same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.notes, &other.notes)
            && self.settings == other.settings
            && self.marks == other.marks
    }

    fn parts(&self, analyses: &Analyses) -> Result<TakeParts, LibraryError> {
        let analysis = analyses.of(&self.notes, &self.settings);
        TakeParts::of(&self.notes, &solo_starts(&analysis, &self.marks))
    }
}

/// The start of each solo but the first.
fn solo_starts(analysis: &TakeAnalysis, marks: &[Second]) -> Vec<Second> {
    let first = |solo: &core::ops::Range<usize>| {
        let note = analysis.phrases().get(solo.start)?.first_note;
        Some(analysis.take().heard.notes().get(note)?.on.second)
    };
    solos(analysis, marks).iter().skip(1).filter_map(first).collect()
}

impl SoloSplit {
    /// Asks for a take that is over to be split.
    pub fn ask(&self, id: TakeId) {
        lock(&self.state).asked.push_back(id);
    }

    /// Puts the parts that have been made in the place of their take, and has the next take split.
    /// A take that has changed meanwhile is split again. Whether a take was split.
    ///
    /// # Errors
    /// Why a take cannot be split.
    pub fn advance(
        &self,
        session: &mut Session,
        store: &mut TakeStore,
        analyses: &Arc<Analyses>,
        marks_of: impl FnOnce(TakeId, &TakeStore) -> Vec<Second>,
    ) -> Result<bool, LibraryError> {
        let mut state = lock(&self.state);
        let done = lock(&self.done).take();
        state.splitting &= done.is_none();
        let Some(id) = state.asked.front().copied().filter(|_| !state.splitting) else {
            return Ok(false);
        };
        let Some(request) = Request::of(session, id, |id| marks_of(id, store)) else {
            state.asked.pop_front();
            return Err(LibraryError::Missing);
        };
        if let Some((_, parts)) = done.filter(|(made_of, _)| made_of.is_same(&request)) {
            state.asked.pop_front();
            let failed = || LibraryError::Told("Couldn't split the take.".to_owned());
            store.split_into(session, id, parts.ok_or_else(failed)??)?;
            return Ok(true);
        }
        let (done, analyses) = (self.done.clone(), analyses.clone());
        let given = self.thread.run(move || {
            let parts = guard(|| request.parts(&analyses));
            *lock(&done) = Some((request, parts));
        });
        match given {
            Ok(()) => state.splitting = true,
            Err(why) => {
                state.asked.pop_front();
                return Err(LibraryError::Told(format!("Couldn't split the take: {why}.")));
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

    /// It is corrected after it has been asked for, and while it is being split.
    #[test]
    fn a_take_is_split_where_a_solo_begins_as_it_is_by_then() {
        let (mut session, mut store) = (played(), TakeStore::default());
        let (split, analyses) = (SoloSplit::default(), Arc::default());
        store.sync(&session);
        let id = session.takes()[0].id;
        let mark = Second(5.0);
        let advance = |session: &mut Session, store: &mut TakeStore| {
            split.advance(session, store, &analyses, |_, _| vec![mark])
        };
        split.ask(id);
        split.ask(TakeId(77));
        assert!(!advance(&mut session, &mut store).unwrap());
        session.correct(1, mark, Some(true));
        while !advance(&mut session, &mut store).unwrap() {
            std::thread::yield_now();
        }
        let parts = session.takes().iter().map(|take| take.performance.heard.notes().len());
        assert_eq!(parts.collect::<Vec<_>>(), [20, 20]);
        let corrected = |take: &overbar_core::take::Take| take.performance.corrections.at(mark);
        assert_eq!(corrected(&session.takes()[1]), Some(true));
        assert!(advance(&mut session, &mut store).is_err(), "there is no such take");
        store.undo(&mut session);
        assert_eq!(session.takes().len(), 1);
    }
}
