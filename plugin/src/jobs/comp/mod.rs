//! Compares takes and cuts a comp from them, on a thread of its own, which shares the chosen takes with the
//! session.

mod apply;
mod comparison;
pub mod request;
mod sheet;

use crate::jobs::analyses::Analyses;
use crate::jobs::comp::request::{CompareRequest, Copied};
use crate::jobs::files::own_sets::OwnSets;
use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use crate::view_model::comp_sheet::CompSheet;
use crate::view_model::comparison::{CompareView, TakeComparison};
use crate::view_model::selection::Selection;
use crate::view_model::titles::{Untitled, titles};
use crate::view_model::tune::Tune;
use overbar_core::session::Session;
use overbar_core::take::performance::Performance;
use overbar_core::take::{Take, TakeId};
use overbar_library::take_store::TakeStore;
use std::borrow::Cow;
use std::collections::BTreeSet;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering::Relaxed};
use std::sync::{Arc, Mutex, MutexGuard};

/// The job and its state.
#[derive(Default)]
pub struct CompareJob {
    state: Mutex<CompareJobState>,
    done: Arc<CompareMailbox>,
    sets: Arc<OwnSets>,
    /// Analyses that jobs and the view model share.
    pub analyses: Arc<Analyses>,
    thread: JobThread,
}

#[derive(Default)]
struct CompareJobState {
    selection: Selection,
    proposing: bool,
    /// The running request, or the last one.
    asked: Option<CompareRequest>,
    working: bool,
    cut: Option<Cut>,
}

/// A result.
struct Cut {
    request: CompareRequest,
    comparison: Arc<Result<TakeComparison, String>>,
    sheet: Arc<Result<CompSheet, String>>,
    spliced: Option<Arc<Performance>>,
}

/// Between the job thread and the worker.
#[derive(Default)]
struct CompareMailbox {
    /// The number of the newest request; older ones are dropped.
    newest: AtomicU64,
    news: AtomicBool,
    /// Which file of the user's own set is being read, of how many.
    reading: Mutex<Option<(usize, usize)>>,
    cut: Mutex<Option<(u64, Option<Cut>)>>,
}

impl CompareJob {
    /// Whether there is a result that the view model does not show yet.
    pub fn has_news(&self) -> bool {
        self.done.news.load(Relaxed)
    }

    /// The user's selection, for the project.
    pub fn selection(&self) -> Selection {
        self.state().selection.clone()
    }

    /// Restores the selection of a project.
    pub fn set_selection(&self, selection: Selection) {
        self.state().selection = selection;
    }

    /// The notes of the comp, if there is one.
    pub(crate) fn comp(&self) -> Option<Arc<Performance>> {
        self.state().cut.as_ref()?.spliced.clone()
    }

    /// The bar of the comp's edit `index`, from 0.
    pub(crate) fn edit_bar(&self, index: usize) -> Option<i64> {
        let state = self.state();
        let sheet = state.cut.as_ref()?.sheet.as_ref().as_ref().ok()?;
        Some(sheet.edits.get(index)?.bar)
    }

    fn state(&self) -> MutexGuard<'_, CompareJobState> {
        lock(&self.state)
    }

    /// Collects finished work, starts the work `wanted` if it is new, and returns the view.
    pub(crate) fn update(
        &self,
        session: &Session,
        store: &TakeStore,
        tune: &Tune,
        wanted: bool,
    ) -> CompareView {
        let mut state = self.state();
        state.collect(&self.done);
        if wanted || state.proposing {
            let request = state.request(session, store, tune, &self.analyses);
            self.ask(&mut state, request);
        }
        let has_form = state.tune_of(store, tune).form().is_some();
        CompareView { reading: *lock(&self.done.reading), ..state.view(has_form) }
    }

    /// A request for the selected takes.
    pub(crate) fn request(
        &self,
        session: &Session,
        store: &TakeStore,
        tune: &Tune,
    ) -> CompareRequest {
        let mut request = self.state().request(session, store, tune, &self.analyses);
        request.propose = false;
        request
    }

    /// A copy of a finished take.
    pub(crate) fn copy(&self, session: &Session, store: &TakeStore, id: TakeId) -> Option<Copied> {
        self.state().copies_of(session, store, &[id]).pop()
    }

    /// Starts `request`, unless it was the last one.
    fn ask(&self, state: &mut CompareJobState, request: CompareRequest) {
        if state.asked.as_ref().is_some_and(|asked| asked.is_same(&request)) {
            return;
        }
        let number = self.done.newest.fetch_add(1, Relaxed) + 1;
        state.asked = Some(request.clone());
        if request.takes.len() < overbar_core::study::compare::MIN_TAKES {
            (state.working, state.cut, state.proposing) = (false, None, false);
            return;
        }
        let known = state.cut.as_ref().filter(|cut| cut.request.compares_as(&request));
        let known = known.map(|cut| cut.comparison.clone());
        let (done, sets) = (self.done.clone(), self.sets.clone());
        let job = move || {
            // A newer request replaces this one.
            if done.newest.load(Relaxed) == number {
                // A panic becomes a message; no lock is held meanwhile.
                let cut = guard(|| Cut::of(request, known, &sets, (&done, number)));
                *lock(&done.reading) = None;
                *lock(&done.cut) = Some((number, cut));
                done.news.store(true, Relaxed);
            }
        };
        state.working = self.thread.run(job).is_ok();
    }
}

impl Drop for CompareJob {
    /// Cancels the running request.
    fn drop(&mut self) {
        self.done.newest.fetch_add(1, Relaxed);
    }
}

impl Cut {
    fn of(
        request: CompareRequest,
        known: Option<Arc<Result<TakeComparison, String>>>,
        sets: &OwnSets,
        (done, number): (&CompareMailbox, u64),
    ) -> Self {
        let reading = |file, of| {
            if done.newest.load(Relaxed) != number {
                return Err("Cancelled.".to_owned());
            }
            *lock(&done.reading) = Some((file, of));
            done.news.store(true, Relaxed);
            Ok(())
        };
        let comparison =
            known.unwrap_or_else(|| Arc::new(comparison::compare_takes(&request, sets, reading)));
        let cut = request.cut(|sheet, comp, _| {
            (sheet::sheet_view(&request, sheet, comp), comp.analysis.take().clone())
        });
        let (sheet, spliced) = match cut {
            Ok((sheet, spliced)) => (Ok(sheet), Some(spliced)),
            Err(why) => (Err(why), None),
        };
        Self { comparison, sheet: Arc::new(sheet), spliced, request }
    }

    /// The comp's name, after the takes in it.
    fn comp_name(&self) -> String {
        let used = match &*self.sheet {
            Ok(sheet) => sheet.choice.iter().collect::<BTreeSet<_>>(),
            Err(_) => BTreeSet::new(),
        };
        let title = |index: &&usize| self.request.takes.get(**index).map(|t| t.title.as_str());
        let titles: Vec<&str> = used.iter().filter_map(title).collect();
        format!("Comp of {}", titles.join(", "))
    }
}

impl CompareJobState {
    /// Collects the result, if it answers the newest request.
    fn collect(&mut self, done: &CompareMailbox) {
        done.news.store(false, Relaxed);
        let Some((number, cut)) = lock(&done.cut).take() else { return };
        if done.newest.load(Relaxed) != number {
            return;
        }
        self.working = false;
        // A request made before the search was wanted does not answer it.
        let proposed = self.proposing && self.asked.as_ref().is_some_and(|asked| asked.propose);
        self.proposing &= !proposed;
        let Some(mut cut) = cut else {
            let why =
                "Couldn't compare these takes: something went wrong. Choose others.".to_owned();
            let Some(request) = self.asked.clone() else { return };
            let (comparison, sheet) = (Arc::new(Err(why.clone())), Arc::new(Err(why)));
            self.cut = Some(Cut { request, comparison, sheet, spliced: None });
            return;
        };
        if let (true, Ok(sheet)) = (proposed, &*cut.sheet) {
            self.selection.cells.clear();
            for (column, take) in sheet.columns.iter().zip(&sheet.choice) {
                if let Some(take) = cut.request.takes.get(*take) {
                    self.selection.give(column.first_bar, column.end_bar(), take.id);
                }
            }
            // The proposal becomes the selection; it has already been cut.
            cut.request.selection.cells = self.selection.cells.clone();
        }
        cut.request.propose = false;
        self.asked = Some(cut.request.clone());
        self.cut = Some(cut);
    }

    fn request(
        &self,
        session: &Session,
        store: &TakeStore,
        tune: &Tune,
        made: &Arc<Analyses>,
    ) -> CompareRequest {
        let takes = self.selection.takes.clone();
        let form = self.tune_of(store, tune).form().cloned();
        CompareRequest {
            takes: self.copies_of(session, store, &takes),
            form,
            selection: self.selection.clone(),
            settings: *session.settings(),
            propose: self.proposing,
            made: made.clone(),
        }
    }

    /// The tune of the chosen takes, taken from the first: takes that are cut together share a tune. Without
    /// any, the current tune.
    fn tune_of<'a>(&self, store: &TakeStore, played: &'a Tune) -> Cow<'a, Tune> {
        let first = self.selection.takes.first();
        first.map_or(Cow::Borrowed(played), |take| played.of_take(store, *take))
    }

    /// Copies of the finished takes among `ids`, in this order.
    fn copies_of(&self, session: &Session, store: &TakeStore, ids: &[TakeId]) -> Vec<Copied> {
        let find = |id: &TakeId| {
            let (place, take) = session.takes().iter().enumerate().find(|(_, t)| t.id == *id)?;
            Some((place + 1, take))
        };
        let found: Vec<(usize, &Take)> = ids.iter().filter_map(find).collect();
        let untitled: Vec<Untitled<'_>> = found
            .iter()
            .map(|(number, take)| {
                let known = store.metadata(take.id);
                Untitled {
                    number: *number,
                    name: known.map_or("", |known| known.labels.name.value.as_str()),
                    began: known.map_or_else(Default::default, |known| known.began),
                }
            })
            .collect();
        let titles = titles(&untitled);
        let copied = found.iter().zip(titles).map(|((_, take), title)| Copied {
            id: take.id,
            title,
            notes: take.performance.clone(),
        });
        copied.collect()
    }

    fn view(&self, has_form: bool) -> CompareView {
        CompareView {
            selection: self.selection.clone(),
            comparison: self.cut.as_ref().map(|cut| cut.comparison.clone()),
            sheet: self.cut.as_ref().map(|cut| cut.sheet.clone()),
            has_form,
            working: self.working,
            proposing: self.proposing,
            reading: None,
        }
    }
}
