//! What a drill shows while one plays: where it is, and what is due next.

use super::bar_position::BarPosition;
use super::chorus::Chorus;
use super::definition::{Drill, Goal, NoteValue, turn};
use super::rounds::Stage;
use crate::time::{Beat, BeatSpan};
use serde::Serialize;

/// Where a drill is.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
#[serde(tag = "state", rename_all = "snake_case")]
pub enum State {
    /// No take with a beat grid has come yet.
    #[default]
    Idle,
    /// The next chorus begins at this beat, after what is left of the one that is passing by.
    Waits {
        /// Where it begins.
        begins: Beat,
    },
    /// The next round is at another tempo.
    AsksForTempo {
        /// Quarter notes a minute asked for.
        asked: f64,
        /// Those heard.
        heard: f64,
    },
    /// The bars right before a chorus.
    CountIn {
        /// Where it begins.
        begins: Beat,
        /// Bars to go, the one under way among them.
        bars: u32,
    },
    /// A chorus is under way.
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

/// Something that is due.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Due {
    /// Which goal of the drill, from 0.
    pub goal: usize,
    /// Where, as notated.
    pub at: Beat,
    /// What.
    pub what: Wanted,
}

/// What is wanted at a beat.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Wanted {
    /// The next note of a line.
    Note(NoteValue),
    /// A phrase may begin here.
    #[serde(serialize_with = "by_name")]
    Entry(BarPosition),
}

fn by_name<S: serde::Serializer>(spot: &BarPosition, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(spot)
}

/// What is shown while one plays.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Progress {
    /// Where the drill is.
    pub state: State,
    /// For each goal that has such moments, what is due next in the chorus under way or to come;
    /// then, where the chorus after that asks for something else, what that begins with.
    pub due: Vec<Due>,
}

/// What comes due after `now` in the chorus that `stage` stands at, which is `chorus`.
pub(super) fn due(drill: &Drill, stage: &Stage, chorus: &Chorus, now: Beat) -> Vec<Due> {
    let mut due = Vec::new();
    for (index, goal) in drill.goals.iter().enumerate() {
        due.extend(goal.next_due(drill, stage.chorus, chorus, now).map(|d| d.of(index)));
    }
    let next = stage.chorus + 1;
    if next >= drill.choruses {
        return due;
    }
    for (index, goal) in drill.goals.iter().enumerate() {
        if goal.changes(drill, next) {
            // Of the same form; where its metres differ, only the beat shown ahead of time would.
            let length = chorus.end - chorus.start;
            let first = goal.next_due(drill, next, chorus, chorus.start - BeatSpan(1e-6));
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
    /// Whether chorus `chorus`, from 0, asks for something else than the one before.
    fn changes(&self, drill: &Drill, chorus: u32) -> bool {
        let before = chorus.saturating_sub(1);
        match self {
            Self::UnbrokenLine(values) => {
                turn(values, before, drill.choruses) != turn(values, chorus, drill.choruses)
            }
            Self::EntryPlace(lists) => {
                turn(lists, before, drill.choruses) != turn(lists, chorus, drill.choruses)
            }
            _ => false,
        }
    }

    /// The first thing due after `now` in a chorus, which is the `number`th of its round from 0.
    fn next_due(&self, drill: &Drill, number: u32, chorus: &Chorus, now: Beat) -> Option<Due> {
        match self {
            Self::UnbrokenLine(values) => {
                let value = *turn(values, number, drill.choruses)?;
                let steps = ((now - chorus.start).0 / value.quarters() + 1e-6).floor() + 1.0;
                let at = chorus.start + BeatSpan(steps.max(0.0) * value.quarters());
                let what = Wanted::Note(value);
                (at.0 < chorus.end.0 - 1e-6).then_some(Due { goal: 0, at, what })
            }
            Self::EntryPlace(lists) => {
                let spots = turn(lists, number, drill.choruses)?;
                chorus
                    .bars
                    .iter()
                    .flat_map(|bar| {
                        let pulse = bar.metre.pulse().0;
                        let there = spots.iter().filter(|spot| spot.pulse <= bar.metre.pulses());
                        there.map(move |spot| {
                            let at = bar.start + BeatSpan(spot.pulses() * pulse);
                            Due { goal: 0, at, what: Wanted::Entry(*spot) }
                        })
                    })
                    .filter(|due| due.at > now)
                    .reduce(|first, next| if next.at < first.at { next } else { first })
            }
            _ => None,
        }
    }
}
