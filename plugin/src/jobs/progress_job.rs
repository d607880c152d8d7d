//! What was played over days and weeks, as the panel asks for it: read from the library and counted
//! on a thread of its own, so that neither the panel nor the worker waits for it.

use crate::runtime::guard::guard;
use crate::runtime::job_thread::Hand;
use crate::runtime::lock::whole;
use crate::runtime::repaint::Repaint;
use chrono::{Local, TimeZone as _};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::settings::Settings;
use overbar_core::stats::Share;
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::progress::day::Day;
use overbar_core::study::progress::periods::{Choice, DrillRow, TakeRow};
use overbar_core::study::progress::{Progress, progress};
use overbar_core::take::performance::Performance;
use overbar_library::{DrillRecord, History, Library, LibraryError, Stamp, default_path};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// While takes are counted, how far it has come is told so often.
const TELL_EVERY: Duration = Duration::from_millis(100);

/// Whose progress over what is asked for; `None` is everyone, or everything.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Chosen {
    /// The player's name.
    pub player: Option<String>,
    /// The tune's name.
    pub tune: Option<String>,
}

/// What there is to draw.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chronicle {
    /// What was asked for.
    pub chosen: Chosen,
    /// It is being read: how many takes have been counted, of how many.
    pub busy: Option<(usize, usize)>,
    /// Players by name.
    pub players: Vec<String>,
    /// Tunes by name.
    pub tunes: Vec<String>,
    /// What came out; `None` before it has been read.
    pub progress: Option<Progress>,
    /// Takes that could not be read.
    pub unreadable: usize,
    /// Why nothing could be read, in a sentence.
    pub fault: Option<String>,
}

/// See the module.
#[derive(Default)]
pub struct Past {
    hand: Hand,
    desk: Arc<Desk>,
}

#[derive(Default)]
struct Desk {
    told: Mutex<Arc<Chronicle>>,
    /// The number of the last question: what an older one brings is of no use.
    newest: AtomicU64,
}

const ERROR: &str = "The library could not be read because of an error in Overbar.";

impl Past {
    /// What was last found.
    #[must_use]
    pub fn chronicle(&self) -> Arc<Chronicle> {
        whole(&self.desk.told).clone()
    }

    /// Reads all anew; `repaint` is asked for as [`Past::chronicle`] has more.
    pub fn ask(&self, chosen: Chosen, repaint: Repaint) {
        let number = self.desk.newest.fetch_add(1, Relaxed) + 1;
        let before = Chronicle::clone(&self.chronicle());
        self.desk.tell(Chronicle { chosen: chosen.clone(), busy: Some((0, 0)), ..before.clone() });
        let desk = self.desk.clone();
        let given = self.hand.give(move || {
            let is_wanted = || desk.newest.load(Relaxed) == number;
            let mut last = Instant::now();
            let told = |done, of| {
                if last.elapsed() >= TELL_EVERY && is_wanted() {
                    last = Instant::now();
                    let busy = Some((done, of));
                    desk.tell(Chronicle { chosen: chosen.clone(), busy, ..before.clone() });
                    repaint.request();
                }
                is_wanted()
            };
            let library = default_path().ok_or(LibraryError::Missing);
            let found = match guard(|| library.and_then(|path| read(&path, &chosen, told))) {
                Some(Ok(found)) => found,
                Some(Err(why)) => {
                    Chronicle { fault: Some(why.to_string()), ..Chronicle::default() }
                }
                None => Chronicle { fault: Some(ERROR.to_owned()), ..Chronicle::default() },
            };
            if is_wanted() {
                desk.tell(Chronicle { chosen, ..found });
                repaint.request();
            }
        });
        if let Err(why) = given {
            let fault = Some(format!("The library cannot be read: {why}."));
            self.desk.tell(Chronicle { fault, ..Chronicle::default() });
        }
    }
}

impl Desk {
    fn tell(&self, told: Chronicle) {
        *whole(&self.told) = Arc::new(told);
    }
}

/// The progress over all that is in the library at `path`. `told` hears how many takes have been
/// counted, of how many; where it returns false the rest is left out.
///
/// # Errors
/// As [`Library::history`].
pub fn read(
    path: &Path,
    chosen: &Chosen,
    told: impl FnMut(usize, usize) -> bool,
) -> Result<Chronicle, LibraryError> {
    let mut library = Library::open(path)?.library;
    // Another ear, or other settings, count anew.
    let settings = Settings::default();
    let ear = env!("CARGO_PKG_VERSION");
    let count = |take: &Performance| Measures::of(&TakeAnalysis::of(take.clone(), settings));
    let History { takes, drills, unreadable } = library.history(ear, count, told)?;
    let takes: Vec<TakeRow> = takes
        .into_iter()
        .map(|take| TakeRow {
            day: day(take.began),
            player: take.player,
            tune: take.tune,
            measures: take.measures,
        })
        .collect();
    let drills: Vec<DrillRow> = drills.iter().flat_map(rows).collect();
    let names = |of: fn(&TakeRow) -> &String| {
        let named = takes.iter().map(of).filter(|name| !name.is_empty());
        named.collect::<BTreeSet<_>>().into_iter().cloned().collect()
    };
    let (players, tunes) = (names(|take| &take.player), names(|take| &take.tune));
    let choice = Choice { player: chosen.player.as_deref(), tune: chosen.tune.as_deref() };
    let told = progress(&takes, &drills, choice, day(Stamp::now()));
    let progress = Some(told);
    Ok(Chronicle { players, tunes, progress, unreadable, ..Chronicle::default() })
}

/// A row for each goal of which something was due.
fn rows(done: &DrillRecord) -> impl Iterator<Item = DrillRow> {
    let goals = &done.result.goals;
    goals.iter().filter(|goal| goal.due > 0).map(|goal| DrillRow {
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

/// The day of a date where this machine is.
#[must_use]
pub fn day(stamp: Stamp) -> Day {
    let here = Local.timestamp_millis_opt(stamp.0).single();
    Day(here.map(|here| here.date_naive()).unwrap_or_default())
}
