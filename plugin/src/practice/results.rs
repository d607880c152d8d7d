//! Results that are kept, as counts: how a drill was played is in its take, what it asked for is
//! not.

use overbar_core::practice::Report;
use overbar_library::{DrillOutcome, GoalTally};
use serde::{Deserialize, Serialize};

/// At most so many results are kept; the oldest give way.
pub const MOST_KEPT: usize = 64;

/// What was heard of a drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptResult {
    /// The drill's name.
    pub drill: String,
    /// What each of its goals came to, in all complete choruses.
    pub goals: Vec<GoalTally>,
    /// Choruses heard to their end.
    pub choruses: usize,
    /// All that it asks for was played.
    pub over: bool,
    /// And passed.
    pub passed: bool,
}

impl KeptResult {
    /// Of a drill of which at least one chorus was heard to its end.
    #[must_use]
    pub fn of(report: &Report) -> Option<Self> {
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
    #[must_use]
    pub fn practised(&self) -> DrillOutcome {
        DrillOutcome {
            goals: self.goals.clone(),
            choruses: self.choruses,
            over: self.over,
            passed: self.passed,
            ..DrillOutcome::default()
        }
    }

    /// In a line: "Entry place: 10 of 12, pass mark not reached".
    #[must_use]
    pub fn words(&self) -> String {
        let met = |goal: &GoalTally| format!("{} of {}", goal.met, goal.due);
        let goals: Vec<String> = self.goals.iter().map(met).collect();
        let end = match (self.over, self.passed) {
            (_, true) => "pass mark reached",
            (true, false) => "pass mark not reached",
            (false, false) => "not played to its end",
        };
        format!("{}: {}, {end}", self.drill, goals.join(" and "))
    }
}
