//! A plain picture of practice, for whoever draws it.

use crate::practice::drill_book::Desk;
use crate::practice::drill_settings::{Knob, knobs};
use crate::view_model::drill_score::{ChorusRow, GoalRow};
use overbar_core::practice::{Drill, Due, Goal, Listener, Report, State, Wanted, write};
use overbar_core::time::Beat;
use std::sync::Arc;

/// What there is to show.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PracticeSnapshot {
    /// The drills there are, and the one that is chosen.
    pub plan: Arc<Plan>,
    /// What the user must be told of what was last wished.
    pub said: Option<String>,
    /// The drill under way, or the last one.
    pub run: Option<Run>,
}

/// The list of drills, and the chosen one as it is set.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plan {
    /// All drills, in order.
    pub drills: Vec<Offer>,
    /// Which of them is chosen.
    pub chosen: Option<usize>,
    /// The chosen drill's name.
    pub name: String,
    /// Its aims, in a sentence each.
    pub aims: Vec<String>,
    /// What can be set of it.
    pub knobs: Vec<Knob>,
    /// It as the text of a file.
    pub text: String,
    /// Results so far, in a line each, the newest last.
    pub kept: Vec<String>,
}

/// A drill of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Its name.
    pub name: String,
    /// Its aims, in a sentence each.
    pub aims: Vec<String>,
    /// It is a mix of the user's own.
    pub own: bool,
}

/// A drill as it is heard.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// The how manyth it is since the plugin was opened, from 1.
    pub number: u32,
    /// It listens.
    pub under_way: bool,
    /// Its name.
    pub name: String,
    /// Its aims, in a sentence each.
    pub aims: Vec<String>,
    /// Where it is.
    pub state: State,
    /// What is due next, before it is; for each goal that has such moments.
    pub due: Vec<Target>,
    /// What the chorus after this one begins with, where that is something else.
    pub then: Vec<Target>,
    /// Every chorus; the last one may be under way.
    pub choruses: Vec<ChorusRow>,
    /// What counts now, goal by goal: the chorus under way, or all of them once the drill is over.
    pub now: Vec<GoalRow>,
    /// The whole result in words, line by line.
    pub told: Vec<String>,
    /// The pass mark was reached; `None` while it is not over.
    pub passed: Option<bool>,
}

/// Something that is due.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Where.
    pub at: Beat,
    /// In a few signs: "4&", "eighths".
    pub sign: String,
    /// In words.
    pub words: String,
}

impl Target {
    fn of(due: &Due) -> Self {
        let (sign, words) = match due.what {
            Wanted::Note(value) => (value.plural().to_owned(), value.plural().to_owned()),
            Wanted::Entry(spot) => (spot.to_string(), format!("begin on {}", spot.words())),
        };
        Self { at: due.at, sign, words }
    }
}

impl Plan {
    /// Of what lies on the desk.
    #[must_use]
    pub fn of(desk: &Desk) -> Self {
        let offer = |(index, drill): (usize, &Drill)| Offer {
            name: drill.name.clone(),
            aims: aims(drill),
            own: index >= desk.fixed.len(),
        };
        Self {
            drills: desk.list().enumerate().map(offer).collect(),
            chosen: desk.chosen(),
            name: desk.drill.name.clone(),
            aims: aims(&desk.drill),
            knobs: knobs(&desk.drill),
            text: write(&desk.drill).unwrap_or_default(),
            kept: desk.kept.iter().map(crate::practice::results::Kept::words).collect(),
        }
    }
}

fn aims(drill: &Drill) -> Vec<String> {
    drill.goals.iter().map(Goal::aim).collect()
}

impl Run {
    /// Of the drill under way.
    #[must_use]
    pub fn under_way(number: u32, listener: &Listener) -> Self {
        let progress = listener.progress();
        let mut due: Vec<&Due> = Vec::new();
        let mut then = Vec::new();
        for next in &progress.due {
            let again = due.iter().any(|known| known.goal == next.goal);
            if again { then.push(next) } else { due.push(next) }
        }
        Self {
            under_way: true,
            state: progress.state,
            due: due.into_iter().map(Target::of).collect(),
            then: then.into_iter().map(Target::of).collect(),
            ..Self::over(number, &listener.report())
        }
    }

    /// Of one that was ended.
    #[must_use]
    pub fn over(number: u32, report: &Report) -> Self {
        let choruses: Vec<ChorusRow> =
            report.choruses.iter().map(|chorus| ChorusRow::of(chorus, report.pass)).collect();
        let whole = || report.whole.iter().map(|goal| GoalRow::of(goal, true)).collect();
        let now = match choruses.last() {
            Some(last) if !report.over => last.goals.clone(),
            _ => whole(),
        };
        let told = report.to_string();
        // The name and the aims stand over it.
        let told = told.lines().skip(1 + report.aims.len()).map(|line| line.trim().to_owned());
        Self {
            number,
            under_way: false,
            name: report.drill.clone(),
            aims: report.aims.clone(),
            state: State::Over,
            due: Vec::new(),
            then: Vec::new(),
            choruses,
            now,
            told: told.collect(),
            passed: report.over.then_some(report.passed),
        }
    }
}
