//! Drill results as counts, saved with the project.

use overbar_core::practice::DrillReport;
use overbar_library::{DrillOutcome, GoalTally};
use serde::{Deserialize, Serialize};

/// At most this many results are kept, the newest.
pub const MAX_KEPT: usize = 64;

/// The result of a drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptResult {
    /// The drill's name.
    pub drill: String,
    /// The tally of each goal, over all complete choruses.
    pub goals: Vec<GoalTally>,
    /// Complete choruses.
    pub choruses: usize,
    /// Whether it was played to the end.
    pub over: bool,
    /// Whether the pass mark was reached.
    pub passed: bool,
}

impl KeptResult {
    /// From a drill with at least one complete chorus.
    pub fn of(report: &DrillReport) -> Option<Self> {
        let goals = report.aims.iter().zip(&report.whole).map(|(aim, goal)| {
            let met = goal.met();
            GoalTally { aim: aim.clone(), met: met.count, due: met.of }
        });
        let choruses = report.choruses.iter().filter(|chorus| chorus.complete).count();
        (choruses > 0).then(|| Self {
            drill: report.drill.clone(),
            goals: goals.collect(),
            choruses,
            over: report.over,
            passed: report.passed,
        })
    }

    /// For the library.
    pub fn practised(&self) -> DrillOutcome {
        DrillOutcome {
            goals: self.goals.clone(),
            choruses: self.choruses,
            over: self.over,
            passed: self.passed,
            ..DrillOutcome::default()
        }
    }

    /// The drill and how it ended, then each goal with its count: "Target position: not passed, 2 choruses",
    /// "10 of 12: Start every phrase on the & of 4."
    pub fn words(&self) -> Vec<String> {
        let met = |goal: &GoalTally| format!("{} of {}: {}", goal.met, goal.due, goal.aim);
        let end = match (self.over, self.passed) {
            (_, true) => "passed",
            (true, false) => "not passed",
            (false, false) => "incomplete",
        };
        let many = if self.choruses == 1 { "chorus" } else { "choruses" };
        let first = format!("{}: {end}, {} {many}", self.drill, self.choruses);
        [first].into_iter().chain(self.goals.iter().map(met)).collect()
    }
}
