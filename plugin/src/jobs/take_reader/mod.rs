//! Analyses the takes that are shown or that a drill needs, and learns from corrections, on a thread of its
//! own. The session's lock is held only to copy new notes of the current take.

mod current_copy;
mod details;

use crate::jobs::analyses::Analyses;
use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use crate::view_model::take_detail::{About, TakeDetail};
use current_copy::{CurrentCopy, Returned};
use details::{DetailRequest, Details, Made};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::session::Session;
use overbar_core::session::snapshot::Taught;
use overbar_core::session::teaching::CorrectedTakes;
use overbar_core::take::performance::Performance;
use overbar_core::take::{Take, TakeId};
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};
use std::sync::{Arc, Mutex};

/// The job.
#[derive(Default)]
pub struct TakeReader {
    state: Mutex<ReaderState>,
    done: Arc<ReaderMailbox>,
    thread: JobThread,
}

#[derive(Default)]
struct ReaderState {
    /// The finished take that is being analysed for the session.
    reading: Option<Arc<Performance>>,
    /// A take whose analysis failed or could not start; it is left to the worker.
    failed: Option<Arc<Performance>>,
    copy: CurrentCopy,
    details: Details,
    /// Learning from corrections is in progress.
    learning: bool,
}

/// The result of learning from corrections.
struct Learnt {
    takes: CorrectedTakes,
    taught: Option<Taught>,
    /// The copy of the current take, if it was needed.
    returned: Option<Option<Returned>>,
}

/// Between the thread and the worker.
#[derive(Default)]
struct ReaderMailbox {
    news: AtomicBool,
    /// An analysis for the session; `None` inside after an error.
    analysis: Mutex<Option<Option<Arc<TakeAnalysis>>>>,
    details: Mutex<Option<Made>>,
    learnt: Mutex<Option<Learnt>>,
}

impl TakeReader {
    /// Whether there are details that have not been collected.
    #[must_use]
    pub fn has_news(&self) -> bool {
        self.done.news.load(Relaxed)
    }

    /// Whether the shown take, or one that the drill needs, still has to be analysed by the thread: a
    /// snapshot or drill requested now would block on it.
    #[must_use]
    pub fn is_awaited(&self, session: &Session) -> bool {
        lock(&self.state).awaited(session).is_some()
    }

    /// Gives `session` its finished analysis and starts on the next take it needs: the one for its drill, the
    /// shown one or, if the list is open, any without figures. Returns whether there was one.
    pub fn read(&self, session: &mut Session, analyses: &Arc<Analyses>, list_wanted: bool) -> bool {
        let mut state = lock(&self.state);
        let analysed = lock(&self.done.analysis).take();
        if let Some(analysed) = &analysed {
            let reading = state.reading.take();
            match analysed {
                Some(analysis) => drop(session.adopt(analysis)),
                // The worker meets the same error when it analyses the take, and reports it.
                None => state.failed = reading,
            }
        }
        let awaited = state.awaited(session).cloned();
        let is_awaited = awaited.is_some();
        let wanted = awaited.or_else(|| session.next_to_analyse(list_wanted).cloned());
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

    /// Gives `session` what its corrections teach, and recomputes it after they have changed. Returns whether
    /// there was anything.
    pub fn teach(&self, session: &mut Session) -> bool {
        let mut state = lock(&self.state);
        let learnt = lock(&self.done.learnt).take();
        let is_new = learnt.is_some_and(|Learnt { takes, taught, returned }| {
            state.learning = false;
            if let Some(returned) = returned {
                state.copy.take_back(returned);
                // Details may be waiting for it.
                self.done.news.store(true, Relaxed);
            }
            session.learn(&takes, taught)
        });
        if state.learning || !session.has_to_learn() {
            return is_new;
        }
        let is_corrected = |take: &Take| !take.performance.corrections.all().is_empty();
        let is_lent = session.current().is_some_and(is_corrected);
        let lent = if is_lent { state.copy.lend(session) } else { None };
        if is_lent && lent.is_none() {
            // It is copied, or handed back, in later rounds of the worker.
            return is_new;
        }
        let (done, takes) = (self.done.clone(), session.corrected_takes());
        let given = self.thread.run(move || {
            let under_way = lent.as_ref().map(|lent| &*lent.notes);
            let taught = guard(|| takes.taught(under_way)).flatten();
            let returned = lent.as_ref().map(|lent| guard(|| lent.give_back()));
            *lock(&done.learnt) = Some(Learnt { takes, taught, returned });
        });
        state.learning = given.is_ok();
        if is_lent && given.is_err() {
            state.copy.take_back(None);
        }
        is_new
    }

    /// The latest details of the shown take; starts making them if they are missing or out of date. `about`
    /// looks up its metadata.
    pub fn details(
        &self,
        session: &mut Session,
        analyses: &Arc<Analyses>,
        about: impl FnOnce(TakeId) -> About,
    ) -> Option<Arc<TakeDetail>> {
        let state = &mut *lock(&self.state);
        self.done.news.store(false, Relaxed);
        if let Some(made) = lock(&self.done.details).take() {
            state.details.collect(made, &mut state.copy);
        }
        let request = DetailRequest::of_shown(session, about)?;
        let id = request.id();
        if state.details.are_due(&request) {
            match request.notes(&mut state.copy, session) {
                Some(notes) => {
                    let is_under_way = notes.are_of_take_under_way();
                    let (done, analyses) = (self.done.clone(), analyses.clone());
                    let asked = request.clone();
                    let given = self.thread.run(move || {
                        let made = request.make(&notes, &analyses);
                        *lock(&done.details) = Some(made);
                        done.news.store(true, Relaxed);
                    });
                    state.details.asked(asked, given.is_ok());
                    if is_under_way && given.is_err() {
                        state.copy.take_back(None);
                    }
                }
                // The rest is copied in later rounds of the worker.
                None => self.done.news.store(!state.copy.is_lent(), Relaxed),
            }
        }
        state.details.of(id)
    }
}

impl ReaderState {
    /// The first take that `session` needs.
    fn awaited<'a>(&self, session: &'a Session) -> Option<&'a Arc<Performance>> {
        let awaited = [session.pending_take(), session.next_to_analyse(false)];
        awaited.into_iter().flatten().find(|take| !self.has_failed(take))
    }

    fn has_failed(&self, take: &Arc<Performance>) -> bool {
        self.failed.as_ref().is_some_and(|failed| Arc::ptr_eq(failed, take))
    }
}
