//! The progress of a drill while playing: its state and what is due next.

use super::bar_position::BarPosition;
use super::chorus::Chorus;
use super::definition::{Drill, Goal, NoteValue, turn};
use super::rounds::Stage;
use crate::quantization::BarLines;
use crate::time::{Beat, BeatSpan};
use serde::Serialize;

/// The state of a drill.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
#[serde(tag = "state", rename_all = "snake_case")]
pub enum DrillState {
    /// There was no take with a beat grid yet.
    #[default]
    Idle,
    /// The next chorus starts later.
    Waits {
        /// Where it starts.
        begins: Beat,
    },
    /// The next round needs another tempo.
    AsksForTempo {
        /// The wanted tempo, in quarter notes per minute.
        asked: f64,
        /// The current one.
        heard: f64,
    },
    /// The bars right before a chorus.
    CountIn {
        /// Where it starts.
        begins: Beat,
        /// Bars to go, including the current one.
        bars: u32,
    },
    /// During a chorus.
    Plays {
        /// The round, from 1.
        round: u32,
        /// The chorus of the round, from 1.
        chorus: u32,
        /// The bar of the form, from 1.
        bar: u32,
    },
    /// Everything has been played.
    Over,
}

/// What is due next for a goal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Due {
    /// The goal, from 0.
    pub goal: usize,
    /// The notated position.
    pub at: Beat,
    /// What is due.
    pub what: Wanted,
}

/// What is due at a position.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Wanted {
    /// The next note of a line.
    Note(NoteValue),
    /// A phrase may start here.
    #[serde(serialize_with = "by_name")]
    Entry(BarPosition),
}

fn by_name<S: serde::Serializer>(at: &BarPosition, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(at)
}

/// The progress of a drill.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Progress {
    /// Its state.
    pub state: DrillState,
    /// What is due next for each goal in the current or coming chorus; then the first of the chorus after
    /// it, for goals that change there.
    pub due: Vec<Due>,
}

/// What is due after `now` in `chorus`, the one of `stage`, by the felt pulse of `lines`.
pub(super) fn due(
    drill: &Drill,
    stage: &Stage,
    chorus: &Chorus,
    lines: BarLines<'_>,
    now: Beat,
) -> Vec<Due> {
    let mut due = Vec::new();
    for (index, goal) in drill.goals.iter().enumerate() {
        due.extend(goal.next_due(drill, stage.chorus, chorus, lines, now).map(|d| d.of(index)));
    }
    let next = stage.chorus + 1;
    if next >= drill.choruses {
        return due;
    }
    for (index, goal) in drill.goals.iter().enumerate() {
        if goal.changes(drill, next) {
            // Exact unless the next chorus has other metres, and then only until it starts.
            let length = chorus.end - chorus.start;
            let first = goal.next_due(drill, next, chorus, lines, chorus.start - BeatSpan(1e-6));
            due.extend(first.map(|d| Due { at: d.at + length, ..d }.of(index)));
        }
    }
    due
}

impl Due {
    fn of(self, goal: usize) -> Self {
        Self { goal, ..self }
    }
}

impl Goal {
    /// Whether chorus `chorus`, from 0, wants something other than the one before.
    fn changes(&self, drill: &Drill, chorus: u32) -> bool {
        let before = chorus.saturating_sub(1);
        match self {
            Self::UnbrokenLine(values) => {
                turn(values, before, drill.choruses) != turn(values, chorus, drill.choruses)
            }
            Self::StartPosition(lists) => {
                turn(lists, before, drill.choruses) != turn(lists, chorus, drill.choruses)
            }
            _ => false,
        }
    }

    /// The first thing due after `now` in chorus `number` of the round, from 0.
    fn next_due(
        &self,
        drill: &Drill,
        number: u32,
        chorus: &Chorus,
        lines: BarLines<'_>,
        now: Beat,
    ) -> Option<Due> {
        match self {
            Self::UnbrokenLine(values) => {
                let value = *turn(values, number, drill.choruses)?;
                let steps = ((now - chorus.start).0 / value.quarters() + 1e-6).floor() + 1.0;
                let at = chorus.start + BeatSpan(steps.max(0.0) * value.quarters());
                let what = Wanted::Note(value);
                (at.0 < chorus.end.0 - 1e-6).then_some(Due { goal: 0, at, what })
            }
            Self::StartPosition(lists) => {
                let positions = turn(lists, number, drill.choruses)?;
                chorus
                    .bars
                    .iter()
                    .flat_map(|bar| {
                        let (pulse, _) = lines.pulse_of(bar.metre);
                        let pulses = lines.pulses_in(bar.metre);
                        let existing = positions.iter().filter(move |p| p.pulse <= pulses);
                        existing.map(move |position| {
                            let at = bar.start + BeatSpan(position.pulses() * pulse.0);
                            Due { goal: 0, at, what: Wanted::Entry(*position) }
                        })
                    })
                    .filter(|due| due.at > now)
                    .reduce(|first, next| if next.at < first.at { next } else { first })
            }
            _ => None,
        }
    }
}
