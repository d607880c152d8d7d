//! Results that are kept, as counts: how a drill was played is in its take, what it asked for is
//! not.

use overbar_core::drill::Report;
use serde::{Deserialize, Serialize};

/// At most so many results are kept; the oldest give way.
pub const MOST_KEPT: usize = 64;

/// What was heard of a drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    /// The drill's name.
    pub drill: String,
    /// What each of its goals came to, in all complete choruses.
    pub goals: Vec<KeptGoal>,
    /// Choruses heard to their end.
    pub choruses: usize,
    /// All that it asks for was played.
    pub over: bool,
    /// And passed.
    pub passed: bool,
}

/// A goal and what was met of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptGoal {
    /// The aim, in a sentence.
    pub aim: String,
    /// How much was met.
    pub met: u32,
    /// Of how much that was due.
    pub due: u32,
}

impl Kept {
    /// Of a drill of which at least one chorus was heard to its end.
    #[must_use]
    pub fn of(report: &Report) -> Option<Self> {
        let goals = report.aims.iter().zip(&report.whole).map(|(aim, goal)| {
            let met = goal.met();
            KeptGoal { aim: aim.clone(), met: met.count, due: met.of }
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

    /// In a line: "Entry place: 10 of 12, pass mark not reached".
    #[must_use]
    pub fn words(&self) -> String {
        let met = |goal: &KeptGoal| format!("{} of {}", goal.met, goal.due);
        let goals: Vec<String> = self.goals.iter().map(met).collect();
        let end = match (self.over, self.passed) {
            (_, true) => "pass mark reached",
            (true, false) => "pass mark not reached",
            (false, false) => "not played to its end",
        };
        format!("{}: {}, {end}", self.drill, goals.join(" and "))
    }
}
