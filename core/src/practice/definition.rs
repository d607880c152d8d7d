//! What a drill asks for, as data.

use super::bar_position::BarPosition;
use crate::time::Tempo;
use serde::Serialize;

/// A drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Drill {
    /// Its name, one line.
    pub name: String,
    /// What is asked for, all of it together.
    pub goals: Vec<Goal>,
    /// Over which form.
    pub form: Form,
    /// How many choruses make a round.
    pub choruses: u32,
    /// The tempos it asks for; `None` takes any.
    pub tempo: Option<TempoPlan>,
    /// The share of what was due from which a round is passed, from 0 to 1.
    pub pass: f64,
}

/// The form a drill goes over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Form {
    /// Its bars.
    pub bars: u32,
    /// The song's bar that a chorus begins in; others follow without a gap, none comes before.
    /// `None`: the first chorus begins right after the count-in.
    pub first_bar: Option<i32>,
    /// Bars that are counted in before the first chorus.
    pub count_in: u32,
}

/// The tempos of a drill that climbs, in quarter notes a minute, as hosts show them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TempoPlan {
    /// The first.
    pub from: f64,
    /// The last.
    pub to: f64,
    /// How much is added after a round that is passed.
    pub by: f64,
}

/// One thing to practise.
#[derive(Debug, Clone, PartialEq)]
pub enum Goal {
    /// Note values kept going, spread evenly over the choruses of a round, in order.
    UnbrokenLine(Vec<NoteValue>),
    /// Places where phrases begin: lists spread evenly over the choruses of a round, in order; in
    /// each chorus any place of its list will do.
    EntryPlace(Vec<Vec<BarPosition>>),
    /// Where phrases end.
    ExitPlace(Exit),
    /// At least one phrase of so many bars in each chorus.
    LongLine(f64),
    /// Room between phrases.
    BreathingRoom(Breath),
}

/// Where phrases are to end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Exit {
    /// The last attack is off the beat.
    OffTheBeat,
    /// The last attack lies in a later bar than the first, or the last note is held over a bar
    /// line.
    OverTheBarLine,
}

/// How much room.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Breath {
    /// A rest of at least so many pulses after each phrase.
    Beats(f64),
    /// At least this share of each chorus at rest, from 0 to 1.
    Share(f64),
}

/// A note value to be kept going.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum NoteValue {
    /// Half notes.
    Half,
    /// Quarters.
    Quarter,
    /// Eighths, swung or straight.
    Eighth,
    /// Eighth triplets: thirds of a quarter.
    Triplet,
    /// Sixteenths.
    Sixteenth,
}

impl NoteValue {
    /// All of them, the longest first.
    pub const ALL: [Self; 5] =
        [Self::Half, Self::Quarter, Self::Eighth, Self::Triplet, Self::Sixteenth];

    /// Its length in quarter notes.
    #[must_use]
    pub fn quarters(self) -> f64 {
        match self {
            Self::Half => 2.0,
            Self::Quarter => 1.0,
            Self::Eighth => 0.5,
            Self::Triplet => 1.0 / 3.0,
            Self::Sixteenth => 0.25,
        }
    }

    /// Its name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Half => "half",
            Self::Quarter => "quarter",
            Self::Eighth => "eighth",
            Self::Triplet => "triplet",
            Self::Sixteenth => "sixteenth",
        }
    }

    /// The one of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|value| value.name() == name)
    }
}

/// The one of `list` for chorus `chorus` of `choruses`, counted from 0: they are spread evenly.
pub(super) fn turn<T>(list: &[T], chorus: u32, choruses: u32) -> Option<&T> {
    let length = u32::try_from(list.len()).ok()?;
    let index = chorus.saturating_mul(length).checked_div(choruses)?;
    list.get(usize::try_from(index).ok()?).or(list.last())
}

impl TempoPlan {
    /// The tempo of a step, from 0; `None` past the last one.
    #[must_use]
    pub fn step(&self, step: u32) -> Option<Tempo> {
        // The last step may be a shorter one.
        let before = self.from + self.by * f64::from(step.saturating_sub(1));
        let reached = step > 0 && (before >= self.to || self.by <= 0.0);
        let tempo = (self.from + self.by * f64::from(step)).min(self.to);
        Tempo::new(tempo).filter(|_| !reached)
    }
}

/// Limits. Origin: none; wider than anyone practises, narrow enough that nothing grows without
/// end.
const MOST_BARS: u32 = 128;
const MOST_CHORUSES: u32 = 64;
const MOST_COUNT_IN: u32 = 16;
const FARTHEST_BAR: i32 = 100_000;
const MOST_GOALS: usize = 8;
const MOST_SPOTS: usize = 64;
const LONGEST_NAME: usize = 80;
const TEMPOS: core::ops::RangeInclusive<f64> = 20.0..=400.0;
const MOST_STEPS: f64 = 64.0;

/// Why a drill cannot be practised.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Of which goal, from 0; `None` of the drill as a whole.
    pub goal: Option<usize>,
    /// The field, as files call it.
    pub field: &'static str,
    /// What is wrong with it, to follow the field's name.
    pub what: String,
}

impl Drill {
    /// Looks whether everything is within its limits.
    ///
    /// # Errors
    /// The first [`Fault`].
    pub fn check(&self) -> Result<(), Fault> {
        let fault = |field, what: String| Fault { goal: None, field, what };
        let counted = |field, value: u32, least: u32, most: u32| {
            let fits = (least..=most).contains(&value);
            let what = || fault(field, format!("is {value}; it can be {least} to {most}"));
            if fits { Ok(()) } else { Err(what()) }
        };
        if self.name.trim().is_empty()
            || self.name.chars().count() > LONGEST_NAME
            || self.name.chars().any(char::is_control)
        {
            let what = format!("has to be one line of 1 to {LONGEST_NAME} characters");
            return Err(fault("name", what));
        }
        counted("bars", self.form.bars, 1, MOST_BARS)?;
        counted("count_in", self.form.count_in, 0, MOST_COUNT_IN)?;
        counted("choruses", self.choruses, 1, MOST_CHORUSES)?;
        if self.form.first_bar.is_some_and(|bar| !(-FARTHEST_BAR..=FARTHEST_BAR).contains(&bar)) {
            return Err(fault("first_bar", format!("lies farther than bar {FARTHEST_BAR}")));
        }
        if !(0.0..=1.0).contains(&self.pass) {
            return Err(fault("pass", format!("is {}; it can be 0 to 1", self.pass)));
        }
        if let Some(plan) = &self.tempo {
            plan.check()?;
        }
        if self.goals.is_empty() || self.goals.len() > MOST_GOALS {
            let what = format!("there are {}; there can be 1 to {MOST_GOALS}", self.goals.len());
            return Err(fault("goal", what));
        }
        for (index, goal) in self.goals.iter().enumerate() {
            goal.check(self.choruses).map_err(|fault| Fault { goal: Some(index), ..fault })?;
        }
        Ok(())
    }
}

impl TempoPlan {
    fn check(&self) -> Result<(), Fault> {
        let fault = |field, what: String| Err(Fault { goal: None, field, what });
        for (field, tempo) in [("from", self.from), ("to", self.to)] {
            if !TEMPOS.contains(&tempo) {
                let (low, high) = (TEMPOS.start(), TEMPOS.end());
                return fault(field, format!("is {tempo}; a tempo can be {low} to {high}"));
            }
        }
        if self.to < self.from {
            return fault("to", "lies under the first tempo".to_owned());
        }
        let steps = (self.to - self.from) / self.by;
        if self.to > self.from && !(self.by > 0.0 && steps <= MOST_STEPS) {
            return fault("by", format!("is {}; it can't climb in {MOST_STEPS} steps", self.by));
        }
        Ok(())
    }
}

impl Goal {
    fn check(&self, choruses: u32) -> Result<(), Fault> {
        let fault = |field, what: String| Err(Fault { goal: None, field, what });
        let turns = |field, lists: usize| {
            let fits = u32::try_from(lists).is_ok_and(|lists| (1..=choruses).contains(&lists));
            let what = format!("has {lists} for {choruses} choruses; it can have one for each");
            if fits { Ok(()) } else { fault(field, what) }
        };
        match self {
            Self::UnbrokenLine(values) => turns("values", values.len()),
            Self::EntryPlace(lists) => {
                turns("places", lists.len())?;
                if lists.iter().any(|list| list.is_empty() || list.len() > MOST_SPOTS) {
                    return fault("places", format!("needs 1 to {MOST_SPOTS} places a chorus"));
                }
                Ok(())
            }
            Self::ExitPlace(_) => Ok(()),
            Self::LongLine(bars) if *bars > 0.0 && *bars <= f64::from(MOST_BARS) => Ok(()),
            Self::LongLine(bars) => fault("bars", format!("is {bars}; more than 0, to 128")),
            Self::BreathingRoom(Breath::Beats(beats)) if *beats > 0.0 && *beats <= 64.0 => Ok(()),
            Self::BreathingRoom(Breath::Beats(beats)) => {
                fault("beats", format!("is {beats}; more than 0, to 64"))
            }
            Self::BreathingRoom(Breath::Share(share)) if *share > 0.0 && *share < 1.0 => Ok(()),
            Self::BreathingRoom(Breath::Share(share)) => {
                fault("share", format!("is {share}; between 0 and 1"))
            }
        }
    }
}
