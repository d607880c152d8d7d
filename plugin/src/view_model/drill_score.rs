//! The results of a drill as figures and rows of marks.

use overbar_core::practice::{Breath, ChorusResult, Exit, GoalResult, Landings, LineResult};
use overbar_core::stats::Share;

/// A mark of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GoalMark {
    /// It was met.
    Met,
    /// It was missed.
    Missed,
    /// It is still to come.
    Ahead,
}

/// A chorus.
#[derive(Debug, Clone, PartialEq)]
pub struct ChorusRow {
    /// The round, from 1.
    pub round: u32,
    /// The chorus of the round, from 1.
    pub chorus: u32,
    /// Its tempo, in quarter notes a minute.
    pub tempo: f64,
    /// It was played to the end.
    pub complete: bool,
    /// Its goals.
    pub goals: Vec<GoalRow>,
}

/// A goal, in one chorus or in all.
#[derive(Debug, Clone, PartialEq)]
pub struct GoalRow {
    /// The count.
    pub figure: String,
    /// What it counts.
    pub of: String,
    /// What this chorus asked for, if choruses differ.
    pub asked: String,
    /// A mark per bar of a line, per phrase, or one for the chorus.
    pub marks: Vec<GoalMark>,
    /// Whether the pass share was reached; `None` while open.
    pub met: Option<bool>,
    /// How much was met, out of what was due.
    pub share: Share,
    /// The likely range; `None` if the counts are not independent.
    pub interval: Option<(f64, f64)>,
    /// The sample is too small to say much.
    pub is_few: bool,
    /// The positions in the bar.
    pub landings: Landings,
}

impl ChorusRow {
    /// Of a chorus with the pass mark `pass`.
    pub fn of(chorus: &ChorusResult, pass: f64) -> Self {
        let goals = chorus.goals.iter().enumerate().map(|(index, goal)| GoalRow {
            met: chorus.complete.then(|| goal.passed(pass)),
            landings: chorus.landings.get(index).cloned().unwrap_or_default(),
            ..GoalRow::of(goal, chorus.complete)
        });
        Self {
            round: chorus.round,
            chorus: chorus.chorus,
            tempo: chorus.tempo,
            complete: chorus.complete,
            goals: goals.collect(),
        }
    }
}

impl GoalRow {
    /// Of a goal; `complete` if nothing is still to come.
    pub fn of(goal: &GoalResult, complete: bool) -> Self {
        let share = goal.met();
        let phrases = |one: &str, more: &str| match share.of {
            1 => format!("of 1 phrase {one}"),
            of => format!("of {of} phrases {more}"),
        };
        let (figure, of, asked, marks) = match goal {
            GoalResult::UnbrokenLine(line) => {
                let of = match line.off {
                    0 => format!("of {} slots hit", line.places.of),
                    1 => format!("of {} slots hit, 1 note off the grid", line.places.of),
                    off => format!("of {} slots hit, {off} notes off the grid", line.places.of),
                };
                let asked = line.value.plural().to_owned();
                (line.places.count.to_string(), of, asked, bars(line))
            }
            GoalResult::StartPosition(_) => counted(share, phrases("on target", "on target")),
            GoalResult::EndingPosition(exit) => {
                let (one, more) = match exit.wanted {
                    Exit::OffTheBeat => ("ends off the beat", "end off the beat"),
                    Exit::OverTheBarLine => ("crosses a bar line", "cross a bar line"),
                };
                counted(share, phrases(one, more))
            }
            GoalResult::LongLine(long) => {
                let of = format!("bars: longest phrase (target {})", long.wanted_bars);
                (format!("{:.1}", long.longest_bars), of, String::new(), once(share, complete))
            }
            GoalResult::BreathingRoom(breath) => match breath.wanted {
                Breath::Beats(beats) => {
                    let with = format!("followed by {beats} beats of rest");
                    counted(share, phrases(&with, &with))
                }
                Breath::Share(wanted) => {
                    let rest = breath.rest_share().unwrap_or(0.0) * 100.0;
                    let of = format!("% space (target {:.0} %)", wanted * 100.0);
                    (format!("{rest:.0}"), of, String::new(), once(share, complete))
                }
            },
        };
        Self {
            figure,
            of,
            asked,
            marks,
            met: None,
            share,
            interval: share.interval().filter(|_| goal.counts_phrases()),
            is_few: goal.is_small_sample(),
            landings: Landings::default(),
        }
    }
}

fn counted(share: Share, of: String) -> (String, String, String, Vec<GoalMark>) {
    (share.count.to_string(), of, String::new(), each(share))
}

/// At most this many phrases get a mark each.
const MAX_MARKS: u32 = 64;

/// A mark per phrase, hits first.
fn each(share: Share) -> Vec<GoalMark> {
    let of = share.of.min(MAX_MARKS);
    (0..of).map(|mark| if mark < share.count { GoalMark::Met } else { GoalMark::Missed }).collect()
}

/// A mark per chorus.
fn once(share: Share, complete: bool) -> Vec<GoalMark> {
    (0..share.of)
        .map(|mark| match mark < share.count {
            true => GoalMark::Met,
            false if complete => GoalMark::Missed,
            false => GoalMark::Ahead,
        })
        .collect()
}

/// A mark per bar of the form, as far as it was played.
fn bars(line: &LineResult) -> Vec<GoalMark> {
    line.bars
        .iter()
        .map(|bar| match bar {
            Share { of: 0, .. } => GoalMark::Ahead,
            Share { count, of } if count == of => GoalMark::Met,
            _ => GoalMark::Missed,
        })
        .collect()
}
