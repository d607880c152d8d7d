//! A drill's earlier results, from the library.

use overbar_core::stats::Share;
use overbar_core::study::progress::day::Day;

/// The earlier results of a drill.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DrillPast {
    /// The drill's name.
    pub drill: String,
    /// Its goals that had something due.
    pub goals: Vec<PastGoal>,
}

/// The earlier results of a goal.
#[derive(Debug, Clone, PartialEq)]
pub struct PastGoal {
    /// Its aim, as a sentence: a goal with other settings is another goal.
    pub aim: String,
    /// How often it was played.
    pub times: usize,
    /// The highest share; of ties the larger count, then the earliest.
    pub best: Share,
    /// The day of that result.
    pub day: Day,
}
