//! What is known of takes beyond what is heard in them: what the user added, the form of the
//! tune, a take in parts with what to work on. The worker lays it out, the panel draws the plain
//! picture of it.

pub mod changes;
pub mod comp_sheet;
pub mod comparison;
pub mod drill_score;
pub mod own_set;
pub mod practice;
pub mod selection;
pub mod setting;
pub mod take_detail;
pub mod titles;
pub mod tune;

use crate::jobs::comp::{Bench, Cutting};
use crate::jobs::files::{Outlet, Progress, folder};
use crate::runtime::lock::whole;
use crate::view_model::take_detail::OneTake;
use crate::view_model::tune::{Tune, TuneText};
use chrono::{Local, TimeZone as _};
use overbar_core::analysis::solos::solos;
use overbar_core::session::Session;
use overbar_core::session::take_list::TakeRow;
use overbar_core::take::{Take, TakeId};
use overbar_core::theory::form::Form;
use overbar_core::time::Second;
use overbar_library::take_store::{TakeMetadata, TakeStore};
use overbar_library::{Origin, Stamp};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::{Duration, Instant};

/// A take under way is read anew for its parts no more often than this.
const AFRESH: Duration = Duration::from_millis(1_000);

/// A plain picture, for whoever draws it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Board {
    /// What the user added to each take.
    pub labels: BTreeMap<TakeId, Label>,
    /// How many deletions, partings and joinings can be undone.
    pub can_undo: usize,
    /// The tune that is played, with its form as it was typed.
    pub tune: TuneText,
    /// What is wrong with what was last typed.
    pub tune_fault: Option<String>,
    /// The names of all tunes that are known.
    pub tunes: Vec<String>,
    /// The form that this means.
    pub form: Option<Form>,
    /// The take that is shown, from near.
    pub one: Option<OneTake>,
    /// Takes side by side, and the comp.
    pub bench: Bench,
    /// What is told of files.
    pub files: Progress,
    /// The folder that files are written to where none was typed.
    pub usual_folder: String,
}

/// What is known of a take beside its notes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Label {
    /// Its name; empty for none.
    pub name: String,
    /// It has a star.
    pub star: bool,
    /// A note by the user.
    pub remark: String,
    /// The tune it is of; empty where that is not known.
    pub tune: String,
    /// When it began.
    pub began: Stamp,
    /// The same by the calendar and the clock here, such as `2026-03-01 14:05`.
    pub when: String,
    /// It is a known take, played back by the host.
    pub playback: bool,
}

impl Board {
    /// What a take is called in a list: by its name, or by its number where it has none.
    #[must_use]
    pub fn called(&self, take: &TakeRow) -> String {
        let name = self.labels.get(&take.id).map_or("", |label| label.name.as_str());
        titles::called(name, take.number)
    }
}

impl Scene {
    fn of(session: &Session, wanted: bool) -> Self {
        let shown = session.shown_take().map(|take| take.id);
        Self { takes: session.takes().len(), shown, wanted }
    }
}

impl Label {
    fn of(known: &TakeMetadata) -> Self {
        let labels = &known.labels;
        Self {
            name: labels.name.value.clone(),
            star: labels.star.value,
            remark: labels.remark.value.clone(),
            tune: labels.tune.value.clone(),
            began: known.began,
            when: calendar(known.began),
            playback: known.origin == Origin::Playback,
        }
    }
}

/// A date as calendar and clock say it here; empty for one that no calendar has.
fn calendar(at: Stamp) -> String {
    let local = Local.timestamp_millis_opt(at.0).single();
    local.map_or_else(String::new, |local| local.format("%Y-%m-%d %H:%M").to_string())
}

/// Lays out the board; see the module. The locks are between worker, panel and saved state.
#[derive(Default)]
pub struct BoardDesk {
    /// Comparing and cutting.
    pub cutting: Cutting,
    /// Files.
    pub outlet: Outlet,
    tune: Mutex<Tune>,
    picture: Mutex<Arc<Board>>,
    laid_out: Mutex<Option<(Instant, Scene)>>,
}

/// What calls for laying out anew as soon as it changes.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Scene {
    takes: usize,
    shown: Option<TakeId>,
    wanted: bool,
}

impl BoardDesk {
    /// What was last laid out.
    #[must_use]
    pub fn picture(&self) -> Arc<Board> {
        whole(&self.picture).clone()
    }

    /// The tune.
    pub fn tune(&self) -> MutexGuard<'_, Tune> {
        whole(&self.tune)
    }

    /// Whether it is to be laid out anew for another reason than a wish: there are other takes,
    /// another one is shown, or what is shown of one under way is old.
    #[must_use]
    pub fn is_due(&self, session: &Session, wanted: bool) -> bool {
        let scene = Scene::of(session, wanted);
        let moves = session.current().is_some();
        whole(&self.laid_out)
            .is_none_or(|(at, last)| last != scene || (moves && at.elapsed() >= AFRESH))
            || self.cutting.has_news()
            || self.outlet.has_news()
    }

    /// When each solo of a take but the first begins.
    #[must_use]
    pub fn solo_starts(&self, session: &Session, keeper: &TakeStore, id: TakeId) -> Vec<Second> {
        let Some(take) = session.takes().iter().find(|take| take.id == id) else {
            return Vec::new();
        };
        let analysis = self.cutting.analyses.of(&take.performance, session.settings());
        let solos = solos(&analysis, &marks_of(take, keeper));
        let first = |solo: &std::ops::Range<usize>| {
            let note = analysis.phrases().get(solo.start)?.first_note;
            Some(take.performance.heard.notes().get(note)?.on.second)
        };
        solos.iter().skip(1).filter_map(first).collect()
    }

    /// Lays out what there is; the shown take from near where that is `wanted`.
    pub fn lay_out(&self, session: &Session, keeper: &TakeStore, wanted: bool) {
        let tune = whole(&self.tune);
        let labels = keeper.all_metadata().map(|(id, known)| (id, Label::of(known))).collect();
        let shown = session.shown_take().filter(|_| wanted);
        let one = shown.map(|take| {
            let analysis = self.cutting.analyses.of(&take.performance, session.settings());
            let tune = tune.of_take(keeper, take.id);
            OneTake::of(take.id, &analysis, &tune, &marks_of(take, keeper))
        });
        let board = Board {
            labels,
            can_undo: keeper.undo_count(),
            tune: tune.text().clone(),
            tunes: keeper.tune_names(),
            tune_fault: tune.fault().map(str::to_owned),
            form: tune.form().cloned(),
            one,
            bench: self.cutting.look(session, keeper, &tune, wanted),
            files: self.outlet.line(),
            usual_folder: folder::usual().map_or_else(String::new, |f| f.display().to_string()),
        };
        *whole(&self.picture) = Arc::new(board);
        *whole(&self.laid_out) = Some((Instant::now(), Scene::of(session, wanted)));
    }
}

/// When places of a take were marked, in order.
fn marks_of(take: &Take, keeper: &TakeStore) -> Vec<Second> {
    let marks = keeper.metadata(take.id).map(|known| &known.labels.marks.value);
    let mut marks: Vec<Second> = marks.into_iter().flatten().map(|mark| mark.second).collect();
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    marks
}
