//! Drills as data.

use super::bar_position::BarPosition;
pub use crate::phrase::subdivision::NoteValue;
use crate::time::Tempo;
use serde::{Deserialize, Serialize};

/// A drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Drill {
    /// Its name, one line.
    pub name: String,
    /// Its goals, practised together.
    pub goals: Vec<Goal>,
    /// The form it is played over.
    pub form: DrillForm,
    /// Choruses per round.
    pub choruses: u32,
    /// The tempo plan; `None` for any tempo.
    pub tempo: Option<TempoPlan>,
    /// The pass mark of a round, a share from 0 to 1.
    pub pass: f64,
}

/// The form of a drill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct DrillForm {
    /// Its bars.
    pub bars: u32,
    /// A bar of the song where a chorus starts; the others follow from it, and none is earlier. `None`: the
    /// first chorus starts after the count-in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first_bar: Option<i32>,
    /// Bars of count-in before the first chorus.
    pub count_in: u32,
}

impl Default for DrillForm {
    /// A blues, after one bar.
    fn default() -> Self {
        Self { bars: 12, first_bar: None, count_in: 1 }
    }
}

/// Rising tempos, in quarter notes per minute.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TempoPlan {
    /// The first.
    pub from: f64,
    /// The last.
    pub to: f64,
    /// The step after each round that is passed.
    pub by: f64,
}

/// One thing to practise.
#[derive(Debug, Clone, PartialEq)]
pub enum Goal {
    /// Note values to keep going, spread evenly over the choruses of a round.
    UnbrokenLine(Vec<NoteValue>),
    /// Positions where phrases start: lists spread evenly over the choruses of a round. In each chorus
    /// any position of its list will do.
    StartPosition(Vec<Vec<BarPosition>>),
    /// Where phrases end.
    EndingPosition(Exit),
    /// At least one phrase of this many bars in each chorus.
    LongLine(f64),
    /// Rests.
    BreathingRoom(Breath),
}

/// Where phrases should end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Exit {
    /// The last attack is off the beat.
    OffTheBeat,
    /// The last attack is in a later bar than the first, or the last note is held over a bar line.
    OverTheBarLine,
}

/// How much rest.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Breath {
    /// A rest of at least this many pulses after each phrase.
    Beats(f64),
    /// At least this share of each chorus at rest, from 0 to 1.
    Share(f64),
}

/// The item of `list` for chorus `chorus` of `choruses`, from 0, spread evenly.
pub(super) fn turn<T>(list: &[T], chorus: u32, choruses: u32) -> Option<&T> {
    let length = u32::try_from(list.len()).ok()?;
    let index = chorus.saturating_mul(length).checked_div(choruses)?;
    list.get(usize::try_from(index).ok()?).or(list.last())
}

impl TempoPlan {
    /// The tempo of a step, from 0; `None` after the last one.
    pub fn step(&self, step: u32) -> Option<Tempo> {
        // The last step may be shorter.
        let before = self.from + self.by * f64::from(step.saturating_sub(1));
        let reached = step > 0 && (before >= self.to || self.by <= 0.0);
        let tempo = (self.from + self.by * f64::from(step)).min(self.to);
        Tempo::new(tempo).filter(|_| !reached)
    }
}

/// Limits. Origin: own choice; wider than anyone practises, and narrow enough to bound the work.
const MAX_BARS: u32 = 128;
const MAX_CHORUSES: u32 = 64;
const MAX_COUNT_IN: u32 = 16;
const FARTHEST_BAR: i32 = 100_000;
const MAX_GOALS: usize = 8;
const MAX_POSITIONS: usize = 64;
const LONGEST_NAME: usize = 80;
const TEMPOS: core::ops::RangeInclusive<f64> = 20.0..=400.0;
const MAX_STEPS: f64 = 64.0;

/// Why a drill is invalid.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrillError {
    /// The goal, from 0; `None` for the drill itself.
    pub goal: Option<usize>,
    /// The field, as named in files.
    pub field: &'static str,
    /// What is wrong with it; follows the field's name.
    pub what: String,
}

impl Drill {
    /// Checks all limits.
    ///
    /// # Errors
    /// The first violation.
    pub fn check(&self) -> Result<(), DrillError> {
        let error = |field, what: String| DrillError { goal: None, field, what };
        let counted = |field, value: u32, min: u32, max: u32| {
            let fits = (min..=max).contains(&value);
            let wrong = || error(field, format!("must be {min}\u{2013}{max}, not {value}"));
            if fits { Ok(()) } else { Err(wrong()) }
        };
        if self.name.trim().is_empty()
            || self.name.chars().count() > LONGEST_NAME
            || self.name.chars().any(char::is_control)
        {
            let what = format!("must be one line of 1\u{2013}{LONGEST_NAME} characters");
            return Err(error("name", what));
        }
        counted("bars", self.form.bars, 1, MAX_BARS)?;
        counted("count_in", self.form.count_in, 0, MAX_COUNT_IN)?;
        counted("choruses", self.choruses, 1, MAX_CHORUSES)?;
        if self.form.first_bar.is_some_and(|bar| !(-FARTHEST_BAR..=FARTHEST_BAR).contains(&bar)) {
            return Err(error("first_bar", format!("must be within bar \u{b1}{FARTHEST_BAR}")));
        }
        if !(0.0..=1.0).contains(&self.pass) {
            return Err(error("pass", format!("must be 0\u{2013}1, not {}", self.pass)));
        }
        if let Some(plan) = &self.tempo {
            plan.check()?;
        }
        if self.goals.is_empty() || self.goals.len() > MAX_GOALS {
            let what =
                format!("must be given 1\u{2013}{MAX_GOALS} times, not {}", self.goals.len());
            return Err(error("goal", what));
        }
        for (index, goal) in self.goals.iter().enumerate() {
            goal.check(self.choruses).map_err(|error| DrillError { goal: Some(index), ..error })?;
        }
        Ok(())
    }
}

impl TempoPlan {
    fn check(&self) -> Result<(), DrillError> {
        let error = |field, what: String| Err(DrillError { goal: None, field, what });
        for (field, tempo) in [("from", self.from), ("to", self.to)] {
            if !TEMPOS.contains(&tempo) {
                let (low, high) = (TEMPOS.start(), TEMPOS.end());
                return error(field, format!("must be {low}\u{2013}{high} BPM, not {tempo}"));
            }
        }
        if self.to < self.from {
            return error("to", "must not be below the first tempo".to_owned());
        }
        let steps = (self.to - self.from) / self.by;
        if self.to > self.from && !(self.by > 0.0 && steps <= MAX_STEPS) {
            return error(
                "by",
                format!("must reach the last tempo in {MAX_STEPS} steps, not be {}", self.by),
            );
        }
        Ok(())
    }
}

impl Goal {
    fn check(&self, choruses: u32) -> Result<(), DrillError> {
        let error = |field, what: String| Err(DrillError { goal: None, field, what });
        let turns = |field, lists: usize| {
            let fits = u32::try_from(lists).is_ok_and(|lists| (1..=choruses).contains(&lists));
            let what = format!("must have one entry per chorus at most: {lists} for {choruses}");
            if fits { Ok(()) } else { error(field, what) }
        };
        match self {
            Self::UnbrokenLine(values) => turns("values", values.len()),
            Self::StartPosition(lists) => {
                turns("places", lists.len())?;
                if lists.iter().any(|list| list.is_empty() || list.len() > MAX_POSITIONS) {
                    return error(
                        "places",
                        format!("must have 1\u{2013}{MAX_POSITIONS} positions per chorus"),
                    );
                }
                Ok(())
            }
            Self::EndingPosition(_) => Ok(()),
            Self::LongLine(bars) if *bars > 0.0 && *bars <= f64::from(MAX_BARS) => Ok(()),
            Self::LongLine(bars) => {
                error("bars", format!("must be above 0 and at most {MAX_BARS}, not {bars}"))
            }
            Self::BreathingRoom(Breath::Beats(beats)) if *beats > 0.0 && *beats <= 64.0 => Ok(()),
            Self::BreathingRoom(Breath::Beats(beats)) => {
                error("beats", format!("must be above 0 and at most 64, not {beats}"))
            }
            Self::BreathingRoom(Breath::Share(share)) if *share > 0.0 && *share < 1.0 => Ok(()),
            Self::BreathingRoom(Breath::Share(share)) => {
                error("share", format!("must be between 0 and 1, not {share}"))
            }
        }
    }
}
