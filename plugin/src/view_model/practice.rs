//! Practice: the drills, the chosen one with its settings, and the current one.

use crate::view_model::drill_score::{ChorusRow, GoalRow};
use overbar_core::practice::{
    ChorusResult, DrillReport, DrillState, Due, Landings, Listener, Wanted,
};
use overbar_core::time::Beat;
use std::sync::Arc;

/// The view.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PracticeView {
    /// The drills, and the chosen one.
    pub plan: Arc<DrillPlan>,
    /// A message about the last command.
    pub message: Option<String>,
    /// The current drill, or the last one.
    pub run: Option<DrillRun>,
}

/// The list of drills, and the chosen one with its settings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DrillPlan {
    /// All drills, in order.
    pub drills: Vec<DrillOffer>,
    /// Index of the chosen one.
    pub chosen: Option<usize>,
    /// The chosen drill's name.
    pub name: String,
    /// Its aims, a sentence each.
    pub aims: Vec<String>,
    /// Its settings.
    pub settings: Vec<DrillSetting>,
    /// The drill in its text format.
    pub text: String,
    /// Results so far, in lines each, the newest last.
    pub kept: Vec<Vec<String>>,
}

/// A drill of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrillOffer {
    /// Its name.
    pub name: String,
    /// Its aims, a sentence each.
    pub aims: Vec<String>,
    /// It is the user's own.
    pub own: bool,
}

/// The current drill, or the last one.
#[derive(Debug, Clone, PartialEq)]
pub struct DrillRun {
    /// Its number since the plugin was opened, from 1.
    pub number: u32,
    /// It is in progress.
    pub under_way: bool,
    /// Its name.
    pub name: String,
    /// Its aims, a sentence each.
    pub aims: Vec<String>,
    /// Its state.
    pub state: DrillState,
    /// What is due next, for each goal that has such moments.
    pub due: Vec<DueTarget>,
    /// What the next chorus starts with, if different.
    pub then: Vec<DueTarget>,
    /// Every chorus; the last one may be in progress.
    pub choruses: Vec<ChorusRow>,
    /// Each goal's current count: in the current chorus, or in all once the drill is over.
    pub now: Vec<GoalRow>,
    /// Each goal over all complete choruses; empty before the first one.
    pub whole: Vec<GoalRow>,
    /// The share needed to pass a round.
    pub pass: f64,
    /// The whole result in words, line by line.
    pub words: Vec<String>,
    /// Whether the pass mark was reached; `None` until the drill is over.
    pub passed: Option<bool>,
}

/// A target that is due.
#[derive(Debug, Clone, PartialEq)]
pub struct DueTarget {
    /// Its position.
    pub at: Beat,
    /// A short form, such as "4&" or "eighths".
    pub sign: String,
    /// In words.
    pub words: String,
}

impl DueTarget {
    fn of(due: &Due) -> Self {
        let (sign, words) = match due.what {
            Wanted::Note(value) => (value.plural().to_owned(), value.plural().to_owned()),
            Wanted::Entry(spot) => (spot.to_string(), format!("start on {}", spot.words())),
        };
        Self { at: due.at, sign, words }
    }
}

impl DrillRun {
    /// The current drill.
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
            due: due.into_iter().map(DueTarget::of).collect(),
            then: then.into_iter().map(DueTarget::of).collect(),
            ..Self::over(number, &listener.report())
        }
    }

    /// A finished drill.
    pub fn over(number: u32, report: &DrillReport) -> Self {
        let choruses: Vec<ChorusRow> =
            report.choruses.iter().map(|chorus| ChorusRow::of(chorus, report.pass)).collect();
        let whole = report.whole.iter().enumerate().map(|(index, goal)| GoalRow {
            met: Some(goal.passed(report.pass)),
            landings: together(&report.choruses, index),
            ..GoalRow::of(goal, true)
        });
        let whole: Vec<GoalRow> = whole.collect();
        let now = match choruses.last() {
            Some(last) if !report.over => last.goals.clone(),
            _ => whole.clone(),
        };
        let words = report.to_string();
        // The name and the aims are shown above it.
        let words = words.lines().skip(1 + report.aims.len()).map(|line| line.trim().to_owned());
        Self {
            number,
            under_way: false,
            name: report.drill.clone(),
            aims: report.aims.clone(),
            state: DrillState::Over,
            due: Vec::new(),
            then: Vec::new(),
            choruses,
            now,
            whole,
            pass: report.pass,
            words: words.collect(),
            passed: report.over.then_some(report.passed),
        }
    }
}

/// Positions drawn in one bar at most.
const MAX_DRAWN: usize = 512;

/// The positions of goal `index` in all complete choruses, newest first.
fn together(choruses: &[ChorusResult], index: usize) -> Landings {
    let (mut aims, mut all): (Vec<f32>, Vec<_>) = (Vec::new(), Vec::new());
    let (mut bar, mut more) = (0.0_f32, 0_u32);
    for chorus in choruses.iter().rev().filter(|chorus| chorus.complete) {
        let Some(landings) = chorus.landings.get(index) else { continue };
        bar = bar.max(landings.bar);
        aims.extend(landings.aims.iter());
        let room = MAX_DRAWN - all.len();
        all.extend(landings.all.iter().take(room));
        let left_out = landings.all.len().saturating_sub(room);
        more = more.saturating_add(landings.more).saturating_add(left_out as u32);
    }
    aims.sort_by(f32::total_cmp);
    aims.dedup_by(|a, b| (*a - *b).abs() < 1e-3);
    Landings { bar, aims: aims.into(), all: all.into(), more }
}

/// A setting of a drill as the panel shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrillSetting {
    /// Its id; never shown.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its value, in a few words.
    pub value: String,
    /// Its value in typed form.
    pub typed: String,
    /// It is at its minimum.
    pub at_least: bool,
    /// It is at its maximum.
    pub at_most: bool,
    /// Its goal, from 0; `None` for the drill as a whole.
    pub goal: Option<usize>,
}
