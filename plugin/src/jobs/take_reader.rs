//! Analyses the takes that are looked at, on a thread of its own. The session's lock is held only
//! while the notes that are new in a take under way are copied.

use crate::jobs::analyses::Analyses;
use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use crate::view_model::take_detail::TakeDetail;
use crate::view_model::tune::Tune;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::session::Session;
use overbar_core::settings::Settings;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use overbar_core::time::Second;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// The thread rests this many times as long as the details of a take under way took it.
const REST: u32 = 4;

/// Notes of a take under way that are copied under one hold of the session's lock.
const COPIED_AT_ONCE: usize = 4_096;

/// Room in a copy for as many more notes, so that it need not move under the session's lock.
const ROOM: usize = 4_096;

/// See the module.
#[derive(Default)]
pub struct TakeReader {
    state: Mutex<ReaderState>,
    done: Arc<ReaderMailbox>,
    thread: JobThread,
}

#[derive(Default)]
struct ReaderState {
    /// The take that is over and is being analysed for the session.
    reading: Option<Arc<Performance>>,
    /// The take whose analysis met an error, or could not begin; it is left to the worker.
    failed: Option<Arc<Performance>>,
    /// What the details are made of, or were last.
    asked: Option<DetailRequest>,
    /// The details are being made.
    working: bool,
    /// When they may be made anew for a take under way.
    next: Option<Instant>,
    /// The take under way, as far as it has been copied.
    copy: Option<(TakeId, Performance)>,
    details: Option<Arc<TakeDetail>>,
}

/// What details are made of.
#[derive(Clone)]
struct DetailRequest {
    id: TakeId,
    /// The take; `None` while it is under way.
    over: Option<Arc<Performance>>,
    settings: Settings,
    tune: Tune,
    marks: Vec<Second>,
}

/// Details of a take, and a copy of the notes of one under way to go on with.
type Details = (Option<Arc<TakeDetail>>, Option<Performance>, Duration);

/// Between the thread and the worker.
#[derive(Default)]
struct ReaderMailbox {
    news: AtomicBool,
    /// An analysis for the session; `None` in it after an error.
    analysis: Mutex<Option<Option<Arc<TakeAnalysis>>>>,
    details: Mutex<Option<Details>>,
}

impl DetailRequest {
    /// Whether its details would be the same, but for what is new in a take under way.
    fn is_same(&self, other: &Self) -> bool {
        let notes = match (&self.over, &other.over) {
            (Some(own), Some(others)) => Arc::ptr_eq(own, others),
            (own, others) => own.is_none() && others.is_none(),
        };
        notes
            && self.id == other.id
            && self.settings == other.settings
            && self.tune == other.tune
            && self.marks == other.marks
    }
}

impl TakeReader {
    /// Whether there are details that have not been seen.
    pub fn has_news(&self) -> bool {
        self.done.news.load(Relaxed)
    }

    /// Whether the take that is shown, or one that the drill is to hear, is still to be analysed by
    /// the thread: whoever asked for a snapshot or the drill now would have to do it there.
    #[must_use]
    pub fn is_awaited(&self, session: &Session) -> bool {
        let state = lock(&self.state);
        let awaited = [session.unheard(), session.unread(false)];
        awaited.into_iter().flatten().any(|take| !state.has_failed(take))
    }

    /// Gives `session` what has been analysed for it and has the next take analysed that it asks
    /// for: the one that its drill is to hear, the one that is shown or, where its list is looked
    /// at, any without figures. Whether there was something.
    pub fn read(&self, session: &mut Session, analyses: &Arc<Analyses>, list_wanted: bool) -> bool {
        let mut state = lock(&self.state);
        let analysed = lock(&self.done.analysis).take();
        if let Some(analysed) = &analysed {
            let reading = state.reading.take();
            match analysed {
                Some(analysis) => drop(session.adopt(analysis)),
                // The worker meets the same error when it analyses the take, and tells of it.
                None => state.failed = reading,
            }
        }
        let awaited = session.unheard().or_else(|| session.unread(false)).cloned();
        let is_awaited = awaited.is_some();
        let wanted = awaited.or_else(|| session.unread(list_wanted).cloned());
        let wanted = wanted.filter(|take| state.reading.is_none() && !state.has_failed(take));
        if let Some(take) = wanted {
            let (done, analyses) = (self.done.clone(), analyses.clone());
            let (settings, notes) = (*session.settings(), take.clone());
            let given = self.thread.run(move || {
                let analysis = guard(|| match analyses.kept(&notes, &settings) {
                    Some(kept) => kept,
                    None if is_awaited => analyses.of(&notes, &settings),
                    None => Arc::new(TakeAnalysis::of(notes, settings)),
                });
                *lock(&done.analysis) = Some(analysis);
            });
            match given {
                Ok(()) => state.reading = Some(take),
                Err(_) => state.failed = Some(take),
            }
        }
        analysed.is_some()
    }

    /// The details of the take that is shown, as they are by now; has them made where there are
    /// none or older ones. `about` tells its tune and marks.
    pub fn details(
        &self,
        session: &mut Session,
        analyses: &Arc<Analyses>,
        about: impl FnOnce(TakeId) -> (Tune, Vec<Second>),
    ) -> Option<Arc<TakeDetail>> {
        let mut state = lock(&self.state);
        state.take_in(&self.done);
        let shown = session.shown_take()?;
        let id = shown.id;
        let is_over = session.takes().iter().any(|take| take.id == id);
        let (tune, marks) = about(id);
        let over = is_over.then(|| shown.performance.clone());
        let request = DetailRequest { id, over, settings: *session.settings(), tune, marks };
        if let Some(notes) = state.due(&request, session, &self.done) {
            let (done, analyses) = (self.done.clone(), analyses.clone());
            state.asked = Some(request.clone());
            let given = self.thread.run(move || {
                let made = make(&request, &notes, &analyses);
                *lock(&done.details) = Some(made);
                done.news.store(true, Relaxed);
            });
            state.working = given.is_ok();
        }
        state.details.clone().filter(|details| details.id == id)
    }
}

fn make(request: &DetailRequest, notes: &Arc<Performance>, analyses: &Analyses) -> Details {
    let began = Instant::now();
    let is_over = request.over.is_some();
    let details = guard(|| {
        let analysis = match is_over {
            true => analyses.of(notes, &request.settings),
            false => Arc::new(TakeAnalysis::of(notes.clone(), request.settings)),
        };
        Arc::new(TakeDetail::of(request.id, &analysis, &request.tune, &request.marks))
    });
    let copy = (!is_over).then(|| notes.copy_with_room(ROOM));
    (details, copy, began.elapsed())
}

impl State {
    fn has_failed(&self, take: &Arc<Performance>) -> bool {
        self.failed.as_ref().is_some_and(|failed| Arc::ptr_eq(failed, take))
    }

    /// Takes in what has been made.
    fn take_in(&mut self, done: &ReaderMailbox) {
        done.news.store(false, Relaxed);
        let Some((details, copy, took)) = lock(&done.details).take() else { return };
        self.working = false;
        self.next = Some(Instant::now() + took * REST);
        self.details = details.or_else(|| self.details.take());
        self.copy = self.asked.as_ref().map(|asked| asked.id).zip(copy);
    }

    /// The notes to make the details of `request` from, where they are to be made now.
    fn due(
        &mut self,
        request: &DetailRequest,
        session: &mut Session,
        done: &ReaderMailbox,
    ) -> Option<Arc<Performance>> {
        if self.working {
            return None;
        }
        let known = self.asked.as_ref().is_some_and(|asked| asked.is_same(request));
        if let Some(over) = &request.over {
            self.copy = None;
            return (!known).then(|| over.clone());
        }
        if known && self.next.is_some_and(|next| Instant::now() < next) {
            return None;
        }
        let (_, mut copy) =
            self.copy.take().filter(|(id, _)| *id == request.id).unwrap_or_default();
        if session.copy_current(&mut copy, COPIED_AT_ONCE) {
            return Some(Arc::new(copy));
        }
        // The rest is copied at the worker's next looks.
        self.copy = Some((request.id, copy));
        done.news.store(true, Relaxed);
        None
    }
}
