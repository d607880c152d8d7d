//! Comparing takes and cutting a comp from them, on a thread of its own, which shares the chosen
//! takes with the session.

mod apply;
pub mod request;

pub use crate::command::comp::Wish;
use crate::jobs::analyses::Analyses;
use crate::jobs::comp::request::{Copied, Request};
use crate::runtime::job_thread::Hand;
use crate::runtime::lock::whole;
use crate::view_model::comp_sheet::CompSheet;
use crate::view_model::comparison::Against;
use crate::view_model::own_set::OwnSets;
use crate::view_model::selection::Chosen;
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

/// What there is to be seen of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bench {
    /// What was chosen.
    pub chosen: Chosen,
    /// Takes side by side, or why there are none; `None` with fewer than two.
    pub against: Option<Arc<Result<Against, String>>>,
    /// The comp sheet, or why there is none.
    pub sheet: Option<Arc<Result<CompSheet, String>>>,
    /// The tune of the takes has a form.
    pub has_form: bool,
    /// It is being worked out, and what is seen may be older than what was chosen.
    pub working: bool,
    /// The best comp is looked for.
    pub proposing: bool,
    /// Which file of how many of the user's own set is being read.
    pub reading: Option<(usize, usize)>,
}

/// See the module.
#[derive(Default)]
pub struct Cutting {
    desk: Mutex<Desk>,
    done: Arc<Done>,
    sets: Arc<OwnSets>,
    pub(crate) analyses: Arc<Analyses>,
    hand: Hand,
}

#[derive(Default)]
struct Desk {
    chosen: Chosen,
    proposing: bool,
    /// What is being worked out, or was last.
    asked: Option<Request>,
    working: bool,
    cut: Option<Cut>,
}

/// What was worked out.
struct Cut {
    request: Request,
    against: Arc<Result<Against, String>>,
    sheet: Arc<Result<CompSheet, String>>,
    spliced: Option<Arc<Performance>>,
}

/// Between the thread and the worker.
#[derive(Default)]
struct Done {
    /// The number of the newest request; older ones need not be worked out any more.
    newest: AtomicU64,
    news: AtomicBool,
    /// Which file of how many of the user's own set is being read.
    reading: Mutex<Option<(usize, usize)>>,
    cut: Mutex<Option<(u64, Option<Cut>)>>,
}

impl Cutting {
    /// Whether something has been worked out that is not yet seen.
    #[must_use]
    pub fn has_news(&self) -> bool {
        self.done.news.load(Relaxed)
    }

    /// What was chosen, to be kept.
    #[must_use]
    pub fn chosen(&self) -> Chosen {
        self.desk().chosen.clone()
    }

    /// Chooses what was kept.
    pub fn choose(&self, chosen: Chosen) {
        self.desk().chosen = chosen;
    }

    fn desk(&self) -> MutexGuard<'_, Desk> {
        whole(&self.desk)
    }

    /// Takes in what has been worked out, has worked out what is `wanted` and new, and says what
    /// there is to be seen.
    pub(crate) fn look(
        &self,
        session: &Session,
        keeper: &TakeStore,
        tune: &Tune,
        wanted: bool,
    ) -> Bench {
        let mut desk = self.desk();
        desk.take_in(&self.done);
        if wanted || desk.proposing {
            let request = desk.request(session, keeper, tune, &self.analyses);
            self.ask(&mut desk, request);
        }
        let has_form = desk.tune_of(keeper, tune).form().is_some();
        Bench { reading: *whole(&self.done.reading), ..desk.bench(has_form) }
    }

    /// What a comparison or a comp of the chosen takes would be made of.
    pub(crate) fn request(&self, session: &Session, keeper: &TakeStore, tune: &Tune) -> Request {
        let mut request = self.desk().request(session, keeper, tune, &self.analyses);
        request.propose = false;
        request
    }

    /// A copy of a take that is over.
    pub(crate) fn copy(&self, session: &Session, keeper: &TakeStore, id: TakeId) -> Option<Copied> {
        self.desk().copies_of(session, keeper, &[id]).pop()
    }

    /// Has `request` worked out, unless it has been.
    fn ask(&self, desk: &mut Desk, request: Request) {
        if desk.asked.as_ref().is_some_and(|asked| asked.is_same(&request)) {
            return;
        }
        let number = self.done.newest.fetch_add(1, Relaxed) + 1;
        desk.asked = Some(request.clone());
        if request.takes.len() < overbar_core::study::compare::FEWEST_TAKES {
            (desk.working, desk.cut, desk.proposing) = (false, None, false);
            return;
        }
        let known = desk.cut.as_ref().filter(|cut| cut.request.compares_as(&request));
        let known = known.map(|cut| cut.against.clone());
        let (done, sets) = (self.done.clone(), self.sets.clone());
        let job = move || {
            // A later wish is worth more.
            if done.newest.load(Relaxed) == number {
                // A panic is told as such; the lock is free meanwhile.
                let cut = crate::runtime::guard::guard(|| {
                    Cut::of(request, known, &sets, (&done, number))
                });
                *whole(&done.reading) = None;
                *whole(&done.cut) = Some((number, cut));
                done.news.store(true, Relaxed);
            }
        };
        desk.working = self.hand.give(job).is_ok();
    }
}

impl Drop for Cutting {
    /// Nobody waits any more: what is being read is left.
    fn drop(&mut self) {
        self.done.newest.fetch_add(1, Relaxed);
    }
}

impl Cut {
    fn of(
        request: Request,
        known: Option<Arc<Result<Against, String>>>,
        sets: &OwnSets,
        (done, number): (&Done, u64),
    ) -> Self {
        let reading = |file, of| {
            if done.newest.load(Relaxed) != number {
                return Err("Something else was asked for.".to_owned());
            }
            *whole(&done.reading) = Some((file, of));
            done.news.store(true, Relaxed);
            Ok(())
        };
        let against = known.unwrap_or_else(|| Arc::new(Against::of(&request, sets, reading)));
        let cut = request.cut(|sheet, comp, _| {
            (CompSheet::of(&request, sheet, comp), comp.analysis.take().clone())
        });
        let (sheet, spliced) = match cut {
            Ok((sheet, spliced)) => (Ok(sheet), Some(spliced)),
            Err(why) => (Err(why), None),
        };
        Self { against, sheet: Arc::new(sheet), spliced, request }
    }
}

impl Cut {
    /// What the comp is called: after the takes that are in it.
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

impl Desk {
    /// Takes in what the thread has worked out, if it is what was last asked for.
    fn take_in(&mut self, done: &Done) {
        done.news.store(false, Relaxed);
        let Some((number, cut)) = whole(&done.cut).take() else { return };
        if done.newest.load(Relaxed) != number {
            return;
        }
        self.working = false;
        let proposed = core::mem::take(&mut self.proposing);
        let Some(mut cut) = cut else {
            let why = "Comparing these takes met an error; choose others.".to_owned();
            let Some(request) = self.asked.clone() else { return };
            let (against, sheet) = (Arc::new(Err(why.clone())), Arc::new(Err(why)));
            self.cut = Some(Cut { request, against, sheet, spliced: None });
            return;
        };
        if let (true, Ok(sheet)) = (proposed, &*cut.sheet) {
            self.chosen.cells.clear();
            for (column, take) in sheet.columns.iter().zip(&sheet.choice) {
                if let Some(take) = cut.request.takes.get(*take) {
                    self.chosen.give(column.first_bar, column.end_bar(), take.id);
                }
            }
            // What was proposed is now what was chosen, and has been cut. Otherwise something else
            // may have been chosen since, which has not.
            cut.request.chosen.cells = self.chosen.cells.clone();
        }
        cut.request.propose = false;
        self.asked = Some(cut.request.clone());
        self.cut = Some(cut);
    }

    fn request(
        &self,
        session: &Session,
        keeper: &TakeStore,
        tune: &Tune,
        made: &Arc<Analyses>,
    ) -> Request {
        let takes = self.chosen.takes.clone();
        let form = self.tune_of(keeper, tune).form().cloned();
        Request {
            takes: self.copies_of(session, keeper, &takes),
            form,
            chosen: self.chosen.clone(),
            settings: *session.settings(),
            propose: self.proposing,
            made: made.clone(),
        }
    }

    /// The tune of the chosen takes, which is that of the first: takes that are cut together are of
    /// one. Without any it is the one that is played.
    fn tune_of<'a>(&self, keeper: &TakeStore, played: &'a Tune) -> Cow<'a, Tune> {
        let first = self.chosen.takes.first();
        first.map_or(Cow::Borrowed(played), |take| played.of_take(keeper, *take))
    }

    /// Copies of those of `ids` that are over, in this order.
    fn copies_of(&self, session: &Session, keeper: &TakeStore, ids: &[TakeId]) -> Vec<Copied> {
        let find = |id: &TakeId| {
            let (place, take) = session.takes().iter().enumerate().find(|(_, t)| t.id == *id)?;
            Some((place + 1, take))
        };
        let found: Vec<(usize, &Take)> = ids.iter().filter_map(find).collect();
        let untitled: Vec<Untitled<'_>> = found
            .iter()
            .map(|(number, take)| {
                let known = keeper.metadata(take.id);
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

    fn bench(&self, has_form: bool) -> Bench {
        Bench {
            chosen: self.chosen.clone(),
            against: self.cut.as_ref().map(|cut| cut.against.clone()),
            sheet: self.cut.as_ref().map(|cut| cut.sheet.clone()),
            has_form,
            working: self.working,
            proposing: self.proposing,
            reading: None,
        }
    }
}
