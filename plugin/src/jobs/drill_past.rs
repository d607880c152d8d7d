//! Reads the earlier results of a drill from the library, on a thread of its own.

use crate::jobs::latest::Latest;
use crate::runtime::repaint::Repaint;
use crate::view_model::dates::day;
use crate::view_model::drill_past::{DrillPast, PastGoal};
use overbar_core::stats::Share;
use overbar_library::{DrillRecord, Library, LibraryError, default_path};
use std::path::Path;
use std::sync::Arc;

/// The job.
#[derive(Default)]
pub struct DrillPastJob(Latest<DrillPast>);

impl DrillPastJob {
    /// The view last published.
    pub fn view(&self) -> Arc<DrillPast> {
        self.0.view()
    }

    /// Reads the results of `drill`, and wakes the panel. `but_the_last` leaves out the newest one in the
    /// library.
    pub fn start(&self, drill: String, but_the_last: bool, repaint: Repaint) {
        let none = DrillPast { drill: drill.clone(), goals: Vec::new() };
        let fault = none.clone();
        let answer =
            move |_: &_| read(&default_path().ok_or(LibraryError::Missing)?, &drill, but_the_last);
        // Progress reports a library that cannot be read.
        self.0.ask(repaint, none, answer, move |_| fault.clone());
    }
}

/// The results of `drill` in the library at `path`.
///
/// # Errors
/// As [`Library::drills`].
pub fn read(path: &Path, drill: &str, but_the_last: bool) -> Result<DrillPast, LibraryError> {
    let mut all = Library::open(path)?.library.drills()?;
    all.retain(|done| done.drill == drill);
    if but_the_last {
        all.pop();
    }
    Ok(DrillPast { drill: drill.to_owned(), goals: best(&all) })
}

/// By goal; `all` is in chronological order.
fn best(all: &[DrillRecord]) -> Vec<PastGoal> {
    let mut goals: Vec<PastGoal> = Vec::new();
    for done in all {
        for goal in done.result.goals.iter().filter(|goal| goal.due > 0) {
            let next = Share { count: goal.met.min(goal.due), of: goal.due };
            let rank = |share: Share| (share.share().unwrap_or(0.0), share.of);
            match goals.iter_mut().find(|known| known.aim == goal.aim) {
                Some(known) => {
                    known.times += 1;
                    if rank(next) > rank(known.best) {
                        (known.best, known.day) = (next, day(done.at));
                    }
                }
                None => goals.push(PastGoal {
                    aim: goal.aim.clone(),
                    times: 1,
                    best: next,
                    day: day(done.at),
                }),
            }
        }
    }
    goals
}

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_library::{CatalogEntry, DrillOutcome, GoalTally, Stamp};

    #[test]
    fn the_best_earlier_result_is_that_of_the_same_drill_and_aim() {
        let folder = std::env::temp_dir().join(format!("overbar_past_{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let path = folder.join("library.db");
        let mut library = Library::open(&path).unwrap().library;
        let results = [
            ("Target", "On 4&.", 3, 6),
            ("Target", "On 4&.", 5, 6),
            ("Target", "On 2&.", 6, 6),
            ("Other", "On 4&.", 6, 6),
            ("Target", "On 4&.", 6, 6),
        ];
        for (index, (drill, aim, met, due)) in (0..).zip(results) {
            let goals = vec![GoalTally { aim: aim.to_owned(), met, due }];
            let result = DrillOutcome { goals, ..DrillOutcome::default() };
            let at = Stamp(1_700_000_000_000 + index);
            let record = DrillRecord { at, drill: drill.to_owned(), result };
            library.put_entry(&CatalogEntry::Drill(record)).unwrap();
        }
        drop(library);
        let best = |but_the_last| {
            let past = read(&path, "Target", but_the_last).unwrap();
            let goals = past.goals.iter().map(|g| (g.times, g.best.count)).collect::<Vec<_>>();
            assert_eq!(past.goals[0].aim, "On 4&.");
            goals
        };
        assert_eq!(best(true), [(2, 5), (1, 6)]);
        assert_eq!(best(false), [(3, 6), (1, 6)]);
        assert_eq!(read(&path, "Never played", false).unwrap().goals, []);
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
