//! The report of a drill. Its field names are a public format: fields are only ever added.

use super::definition::Drill;
use super::result::{ChorusResult, GoalResult, summed};
use super::rounds::passed;
use serde::Serialize;

/// The report of a drill.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrillReport {
    /// The drill's name.
    pub drill: String,
    /// Its aims, a sentence each.
    pub aims: Vec<String>,
    /// The pass mark of a round.
    pub pass: f64,
    /// The choruses; incomplete ones count for nothing.
    pub choruses: Vec<ChorusResult>,
    /// The rounds.
    pub rounds: Vec<RoundResult>,
    /// All complete choruses together, by goal; empty before there is one.
    pub whole: Vec<GoalResult>,
    /// The whole drill has been played.
    pub over: bool,
    /// It was passed, at its last tempo.
    pub passed: bool,
}

/// The result of a round.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RoundResult {
    /// Its number, from 1.
    pub round: u32,
    /// Its tempo, in quarter notes per minute.
    pub tempo: f64,
    /// Its complete choruses together, by goal; empty before there is one.
    pub goals: Vec<GoalResult>,
    /// Whether every goal reached the pass mark; null before its end.
    pub passed: Option<bool>,
}

impl DrillReport {
    pub(super) fn of<'a>(
        drill: &Drill,
        choruses: impl Iterator<Item = &'a ChorusResult>,
        over: bool,
        all_passed: bool,
    ) -> Self {
        let choruses: Vec<ChorusResult> = choruses.cloned().collect();
        let rounds = choruses.chunk_by(|a, b| a.round == b.round).filter_map(|round| {
            let first = round.first()?;
            let goals = summed(round.iter());
            let complete = round.iter().filter(|chorus| chorus.complete).count();
            let is_over = u32::try_from(complete).is_ok_and(|count| count >= drill.choruses);
            Some(RoundResult {
                round: first.round,
                tempo: first.tempo,
                passed: is_over.then(|| passed(&goals, drill.pass)),
                goals,
            })
        });
        Self {
            drill: drill.name.clone(),
            aims: drill.goals.iter().map(super::definition::Goal::aim).collect(),
            pass: drill.pass,
            rounds: rounds.collect(),
            whole: summed(choruses.iter()),
            over,
            passed: all_passed,
            choruses,
        }
    }
}
