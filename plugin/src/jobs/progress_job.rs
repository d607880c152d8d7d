//! Computes progress over days and weeks from the library, on a thread of its own, so that neither
//! panel nor worker waits for it.

use crate::jobs::latest::{Latest, Pending};
use crate::runtime::repaint::Repaint;
use crate::view_model::dates::day;
use crate::view_model::progress::{NamedProgress, ProgressFilter, ProgressView};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::stats::Share;
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::progress::periods::{DatedDrill, DatedTake, TakeFilter};
use overbar_core::study::progress::progress;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_library::{DrillRecord, History, Library, LibraryError, Stamp, default_path};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Interval between progress reports while takes are analysed.
const TELL_EVERY: Duration = Duration::from_millis(100);

/// Players and tunes shown side by side at most. Own choice: more than a class.
const MAX_NAMES: usize = 60;

/// The job.
#[derive(Default)]
pub struct ProgressJob(Latest<ProgressView>);

impl ProgressJob {
    /// The view last published.
    pub fn view(&self) -> Arc<ProgressView> {
        self.0.view()
    }

    /// Computes progress, and wakes the panel whenever [`ProgressJob::view`] changes.
    pub fn start(&self, filter: ProgressFilter, repaint: Repaint) {
        let before = ProgressView::clone(&self.view());
        let of = filter.clone();
        let counted =
            move |busy| ProgressView { filter: of.clone(), busy: Some(busy), ..before.clone() };
        let meanwhile = counted((0, 0));
        let of = filter.clone();
        let fault = move |why| ProgressView {
            filter: of.clone(),
            fault: Some(why),
            ..ProgressView::default()
        };
        let answer = move |pending: &Pending<ProgressView>| {
            let mut last = Instant::now();
            let report = |done, of| {
                if last.elapsed() >= TELL_EVERY {
                    last = Instant::now();
                    pending.publish(counted((done, of)));
                }
                pending.is_wanted()
            };
            let found = read(&default_path().ok_or(LibraryError::Missing)?, &filter, report)?;
            Ok(ProgressView { filter, ..found })
        };
        self.0.ask(repaint, meanwhile, answer, fault);
    }
}

/// The progress over the library at `path`. `report` is called with the number of takes analysed and in all;
/// the job stops when it returns false.
///
/// # Errors
/// As [`Library::history`].
pub fn read(
    path: &Path,
    filter: &ProgressFilter,
    report: impl FnMut(usize, usize) -> bool,
) -> Result<ProgressView, LibraryError> {
    let mut library = Library::open(path)?.library;
    // A new version, or other settings, reanalyses all takes.
    let settings = Settings::default();
    let ear = env!("CARGO_PKG_VERSION");
    let count = |take: &Performance| Measures::of(&TakeAnalysis::of(take.clone(), settings));
    let History { takes, drills, unreadable } = library.history(ear, count, report)?;
    let takes: Vec<DatedTake> = takes
        .into_iter()
        .map(|take| DatedTake {
            day: day(take.began),
            player: take.player,
            tune: take.tune,
            measures: take.measures,
        })
        .collect();
    let drills: Vec<DatedDrill> = drills.iter().flat_map(rows).collect();
    let names = |of: fn(&DatedTake) -> &String| -> Vec<String> {
        let named = takes.iter().map(of).filter(|name| !name.is_empty());
        named.collect::<BTreeSet<_>>().into_iter().cloned().collect()
    };
    let (players, tunes) = (names(|take| &take.player), names(|take| &take.tune));
    let choice = TakeFilter { player: filter.player.as_deref(), tune: filter.tune.as_deref() };
    let today = day(Stamp::now());
    let progress_of = |choice: TakeFilter<'_>| progress(&takes, &drills, choice, today);
    let by_player = most_played(&players, &takes, |take| &take.player).into_iter().map(|name| {
        let choice = TakeFilter { player: Some(&name), ..choice };
        NamedProgress { progress: progress_of(choice), name: name.clone() }
    });
    let by_player = by_player.collect();
    let by_tune = most_played(&tunes, &takes, |take| &take.tune).into_iter().map(|name| {
        let choice = TakeFilter { tune: Some(&name), ..choice };
        NamedProgress { progress: progress_of(choice), name: name.clone() }
    });
    let by_tune = by_tune.collect();
    let progress = Some(progress_of(choice));
    Ok(ProgressView {
        players,
        tunes,
        progress,
        by_player,
        by_tune,
        unreadable,
        ..ProgressView::default()
    })
}

/// The `names` with the most takes, in their original order.
fn most_played(
    names: &[String],
    takes: &[DatedTake],
    of: fn(&DatedTake) -> &String,
) -> Vec<String> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    takes.iter().for_each(|take| *counts.entry(of(take)).or_default() += 1);
    let count = |name: &str| counts.get(name).copied().unwrap_or(0);
    let mut most: Vec<&String> = names.iter().collect();
    most.sort_by_key(|name| core::cmp::Reverse(count(name)));
    most.truncate(MAX_NAMES);
    most.sort();
    most.into_iter().cloned().collect()
}

/// A row for each goal that had something due.
fn rows(done: &DrillRecord) -> impl Iterator<Item = DatedDrill> {
    let goals = &done.result.goals;
    goals.iter().filter(|goal| goal.due > 0).map(|goal| DatedDrill {
        day: day(done.at),
        player: done.result.player.clone(),
        tune: done.result.tune.clone(),
        drill: match goals.len() {
            1 => done.drill.clone(),
            _ => format!("{}: {}", done.drill, goal.aim),
        },
        result: Share { count: goal.met.min(goal.due), of: goal.due },
    })
}
