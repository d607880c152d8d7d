//! What was heard of a drill, summed up. The fields and their names are a format that other
//! programs read: they are only added to.

use super::definition::Drill;
use super::result::{ChorusResult, GoalResult, summed};
use super::rounds::passed;
use serde::Serialize;

/// What was heard.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// The drill's name.
    pub drill: String,
    /// Its aims in a sentence each.
    pub aims: Vec<String>,
    /// The share from which a round is passed.
    pub pass: f64,
    /// Chorus by chorus; those that were not heard to their end count for nothing.
    pub choruses: Vec<ChorusResult>,
    /// Round by round.
    pub rounds: Vec<RoundResult>,
    /// All complete choruses together, goal by goal; empty before there is one.
    pub whole: Vec<GoalResult>,
    /// Everything the drill asks for has been played.
    pub over: bool,
    /// And passed, at its last tempo.
    pub passed: bool,
}

/// A round.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RoundResult {
    /// Its number, from 1.
    pub round: u32,
    /// Its tempo, in quarter notes a minute.
    pub tempo: f64,
    /// Its complete choruses together, goal by goal; empty before there is one.
    pub goals: Vec<GoalResult>,
    /// Whether each goal was met by the share asked for; null while it lasts.
    pub passed: Option<bool>,
}

impl Report {
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
