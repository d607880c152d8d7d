//! Computes progress over days and weeks from the library, on a thread of its own, so that neither
//! panel nor worker waits for it.

use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use crate::runtime::repaint::Repaint;
use crate::view_model::dates::day;
use crate::view_model::progress::{ProgressFilter, ProgressView};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::settings::Settings;
use overbar_core::stats::Share;
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::progress::periods::{DatedDrill, DatedTake, TakeFilter};
use overbar_core::study::progress::progress;
use overbar_core::take::performance::Performance;
use overbar_library::{DrillRecord, History, Library, LibraryError, Stamp, default_path};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Interval between reports of progress while takes are analysed.
const TELL_EVERY: Duration = Duration::from_millis(100);

/// See the module.
#[derive(Default)]
pub struct ProgressJob {
    thread: JobThread,
    mailbox: Arc<ProgressMailbox>,
}

#[derive(Default)]
struct ProgressMailbox {
    view: Mutex<Arc<ProgressView>>,
    /// The number of the newest request; results of older ones are dropped.
    newest: AtomicU64,
}

const ERROR: &str = "The library could not be read because of an error in Overbar.";

impl ProgressJob {
    /// The view last published.
    #[must_use]
    pub fn view(&self) -> Arc<ProgressView> {
        lock(&self.mailbox.view).clone()
    }

    /// Computes progress, and wakes the panel whenever [`ProgressJob::view`] changes.
    pub fn start(&self, filter: ProgressFilter, repaint: Repaint) {
        let number = self.mailbox.newest.fetch_add(1, Relaxed) + 1;
        let before = ProgressView::clone(&self.view());
        self.mailbox.set(ProgressView {
            filter: filter.clone(),
            busy: Some((0, 0)),
            ..before.clone()
        });
        let mailbox = self.mailbox.clone();
        let given = self.thread.run(move || {
            let is_wanted = || mailbox.newest.load(Relaxed) == number;
            let mut last = Instant::now();
            let told = |done, of| {
                if last.elapsed() >= TELL_EVERY && is_wanted() {
                    last = Instant::now();
                    let busy = Some((done, of));
                    mailbox.set(ProgressView { filter: filter.clone(), busy, ..before.clone() });
                    repaint.request();
                }
                is_wanted()
            };
            let library = default_path().ok_or(LibraryError::Missing);
            let found = match guard(|| library.and_then(|path| read(&path, &filter, told))) {
                Some(Ok(found)) => found,
                Some(Err(why)) => {
                    ProgressView { fault: Some(why.to_string()), ..ProgressView::default() }
                }
                None => ProgressView { fault: Some(ERROR.to_owned()), ..ProgressView::default() },
            };
            if is_wanted() {
                mailbox.set(ProgressView { filter, ..found });
                repaint.request();
            }
        });
        if let Err(why) = given {
            let fault = Some(format!("The library cannot be read: {why}."));
            self.mailbox.set(ProgressView { fault, ..ProgressView::default() });
        }
    }
}

impl ProgressMailbox {
    fn set(&self, view: ProgressView) {
        *lock(&self.view) = Arc::new(view);
    }
}

/// The progress over the library at `path`. `told` is given how many takes have been analysed, of how
/// many; the job stops when it returns false.
///
/// # Errors
/// As [`Library::history`].
pub fn read(
    path: &Path,
    filter: &ProgressFilter,
    told: impl FnMut(usize, usize) -> bool,
) -> Result<ProgressView, LibraryError> {
    let mut library = Library::open(path)?.library;
    // Another version, or other settings, analyse all takes again.
    let settings = Settings::default();
    let ear = env!("CARGO_PKG_VERSION");
    let count = |take: &Performance| Measures::of(&TakeAnalysis::of(take.clone(), settings));
    let History { takes, drills, unreadable } = library.history(ear, count, told)?;
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
    let names = |of: fn(&DatedTake) -> &String| {
        let named = takes.iter().map(of).filter(|name| !name.is_empty());
        named.collect::<BTreeSet<_>>().into_iter().cloned().collect()
    };
    let (players, tunes) = (names(|take| &take.player), names(|take| &take.tune));
    let choice = TakeFilter { player: filter.player.as_deref(), tune: filter.tune.as_deref() };
    let told = progress(&takes, &drills, choice, day(Stamp::now()));
    let progress = Some(told);
    Ok(ProgressView { players, tunes, progress, unreadable, ..ProgressView::default() })
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
