//! The result of a chorus.

use super::breath::BreathResult;
use super::chorus::Chorus;
use super::definition::{Breath, Drill, Goal, turn};
use super::entry::EntryResult;
use super::exit::ExitResult;
use super::landing::{LandingList, Landings};
use super::line::LineResult;
use super::long_line::LongLineResult;
use super::take_so_far::TakeSoFar;
use crate::phrase::figures::FEW_PHRASES;
use crate::segmentation::BoundaryStatus;
use crate::stats::Share;
use crate::time::BeatSpan;
use crate::time::metre_map::POSITION_TOLERANCE;
use serde::Serialize;

/// The result of a goal, in one chorus or several.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum GoalResult {
    /// See [`Goal::UnbrokenLine`].
    UnbrokenLine(LineResult),
    /// See [`Goal::StartPosition`].
    StartPosition(EntryResult),
    /// See [`Goal::EndingPosition`].
    EndingPosition(ExitResult),
    /// See [`Goal::LongLine`].
    LongLine(LongLineResult),
    /// See [`Goal::BreathingRoom`].
    BreathingRoom(BreathResult),
}

/// The result of a chorus.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChorusResult {
    /// The round, from 1.
    pub round: u32,
    /// The chorus in its round, from 1.
    pub chorus: u32,
    /// Its first bar in the song.
    pub first_bar: i64,
    /// The tempo at its start, in quarter notes per minute.
    pub tempo: f64,
    /// It was played to its end; otherwise it counts for nothing.
    pub complete: bool,
    /// It starts where the chorus before ended.
    pub follows: bool,
    /// The results of the drill's goals, in order.
    pub goals: Vec<GoalResult>,
    /// Where in the bar hits and misses were, goal by goal; empty in all but the newest choruses.
    #[serde(skip)]
    pub landings: Vec<Landings>,
    /// No further note can change it.
    #[serde(skip)]
    pub(super) settled: bool,
}

/// A chorus in its round.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turn<'a> {
    pub drill: &'a Drill,
    pub round: u32,
    /// From 0.
    pub chorus: u32,
    /// The chorus before belongs to this drill and this take.
    pub follows: bool,
}

impl ChorusResult {
    pub(super) fn of(turn: Turn<'_>, chorus: &Chorus, so_far: &TakeSoFar<'_>) -> Self {
        let tempo = so_far.take.tempo.tempo_at(chorus.start + POSITION_TOLERANCE);
        let goals = turn.drill.goals.iter().filter_map(|goal| {
            let mut landings = LandingList::new(chorus, so_far);
            let result = goal.evaluate(turn, chorus, so_far, &mut landings)?;
            Some((result, landings.done()))
        });
        let (goals, landings) = goals.unzip();
        let all_over = so_far.phrases_of(chorus, turn.follows).all(|(index, phrase)| {
            let (rest, _) = so_far.rest_after(index, phrase);
            let next = so_far.phrases.get(index + 1).map(|next| next.boundary.status);
            let firm = next.is_some_and(|status| status != BoundaryStatus::Provisional);
            firm || so_far.over || rest >= LONGEST_REST_AWAITED
        });
        let complete = so_far.is_past(chorus.end);
        // The last notes may be late, and metre and tempo are corrected later.
        let behind = chorus.end + chorus.bar_length() + BeatSpan(2.0);
        Self {
            round: turn.round,
            chorus: turn.chorus.saturating_add(1),
            first_bar: chorus.first_bar,
            tempo: tempo.map_or(0.0, |tempo| tempo.quarters_a_minute()),
            complete,
            follows: turn.follows,
            goals,
            landings,
            settled: complete && so_far.is_past(behind) && all_over,
        }
    }
}

/// No goal waits for a longer rest, in pulses.
const LONGEST_REST_AWAITED: f64 = 64.0;

impl Goal {
    fn evaluate(
        &self,
        at: Turn<'_>,
        chorus: &Chorus,
        so_far: &TakeSoFar<'_>,
        landings: &mut LandingList,
    ) -> Option<GoalResult> {
        let choruses = at.drill.choruses;
        Some(match self {
            Self::UnbrokenLine(values) => {
                let value = turn(values, at.chorus, choruses)?;
                let number = at.chorus.saturating_add(1);
                let line = LineResult::of(*value, (chorus, number), so_far, landings);
                GoalResult::UnbrokenLine(line)
            }
            Self::StartPosition(lists) => {
                let wanted = turn(lists, at.chorus, choruses)?;
                let entry = EntryResult::of(wanted, chorus, at.follows, so_far, landings);
                GoalResult::StartPosition(entry)
            }
            Self::EndingPosition(exit) => {
                let exit = ExitResult::of(*exit, chorus, at.follows, so_far, landings);
                GoalResult::EndingPosition(exit)
            }
            Self::LongLine(bars) => {
                GoalResult::LongLine(LongLineResult::of(*bars, chorus, at.follows, so_far))
            }
            Self::BreathingRoom(breath) => {
                let breath = BreathResult::of(*breath, chorus, at.follows, so_far, landings);
                GoalResult::BreathingRoom(breath)
            }
        })
    }
}

impl GoalResult {
    /// How much was met, of what was due.
    pub fn met(&self) -> Share {
        match self {
            Self::UnbrokenLine(line) => line.kept(),
            Self::StartPosition(entry) => entry.hits,
            Self::EndingPosition(exit) => exit.hits,
            Self::LongLine(long) => long.choruses,
            Self::BreathingRoom(breath) => breath.met,
        }
    }

    /// Whether at least `pass` of what was due was met; false if nothing was due.
    pub fn passed(&self, pass: f64) -> bool {
        // Tolerates rounding of shares such as 0.9.
        self.met().share().is_some_and(|share| share >= pass - 1e-9)
    }

    /// Whether it counts phrases, which are independent enough for a likely range; notes of a line and
    /// choruses are not.
    pub fn counts_phrases(&self) -> bool {
        match self {
            Self::StartPosition(_) | Self::EndingPosition(_) => true,
            Self::BreathingRoom(breath) => matches!(breath.wanted, Breath::Beats(_)),
            Self::UnbrokenLine(_) | Self::LongLine(_) => false,
        }
    }

    /// Whether it counts too few phrases to say much.
    pub fn is_small_sample(&self) -> bool {
        self.counts_phrases() && self.met().of < FEW_PHRASES
    }

    /// Adds the next chorus, of the same goal.
    pub(super) fn absorb(&mut self, next: &Self, follows: bool) {
        match (self, next) {
            (Self::UnbrokenLine(all), Self::UnbrokenLine(next)) => all.absorb(next, follows),
            (Self::StartPosition(all), Self::StartPosition(next)) => all.absorb(next),
            (Self::EndingPosition(all), Self::EndingPosition(next)) => all.hits.absorb(&next.hits),
            (Self::LongLine(all), Self::LongLine(next)) => all.absorb(next),
            (Self::BreathingRoom(all), Self::BreathingRoom(next)) => all.absorb(next),
            _ => {}
        }
    }
}

/// All complete choruses together, by goal; empty before there is one.
pub(super) fn summed<'a>(choruses: impl Iterator<Item = &'a ChorusResult>) -> Vec<GoalResult> {
    let mut whole: Vec<GoalResult> = Vec::new();
    for chorus in choruses.filter(|chorus| chorus.complete) {
        if whole.is_empty() {
            whole.clone_from(&chorus.goals);
        } else {
            for (all, next) in whole.iter_mut().zip(&chorus.goals) {
                all.absorb(next, chorus.follows);
            }
        }
    }
    whole
}
