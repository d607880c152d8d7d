//! Dated takes and drill results, and what was counted in a day or a week.

use super::day::Day;
use crate::stats::Share;
use crate::study::advice::measure::Measure;
use crate::study::advice::measures::Measures;
use serde::Serialize;
use std::collections::BTreeMap;

/// A take with its date.
#[derive(Debug, Clone, PartialEq)]
pub struct DatedTake {
    /// When it was played.
    pub day: Day,
    /// Who played.
    pub player: String,
    /// What.
    pub tune: String,
    /// What was counted.
    pub measures: Measures,
}

/// A drill's result with its date.
#[derive(Debug, Clone, PartialEq)]
pub struct DatedDrill {
    /// When it was played.
    pub day: Day,
    /// Who played.
    pub player: String,
    /// Over what.
    pub tune: String,
    /// The drill and its goal, in words that are the same each time.
    pub drill: String,
    /// How many were met of those due.
    pub result: Share,
}

/// Whose progress, over what: `None` is everyone, or everything.
#[derive(Debug, Clone, Copy, Default)]
pub struct TakeFilter<'a> {
    /// The player.
    pub player: Option<&'a str>,
    /// The tune.
    pub tune: Option<&'a str>,
}

impl TakeFilter<'_> {
    /// Whether it takes in what this player played of this tune.
    #[must_use]
    pub fn takes(&self, player: &str, tune: &str) -> bool {
        self.player.is_none_or(|own| own == player) && self.tune.is_none_or(|own| own == tune)
    }
}

/// A figure of a day or a week.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Period {
    /// The day, or the Monday of the week.
    pub from: Day,
    /// Its value: a share from 0 to 1, of the lag milliseconds.
    pub value: f64,
    /// Of how many phrases, stretches, pairs or notes.
    pub of: u32,
    /// Ends of its 95 % interval; null of too little.
    pub interval: Option<(f64, f64)>,
}

impl Period {
    /// A measure of counts; `None` of nothing.
    #[must_use]
    pub fn of(from: Day, measure: Measure, measures: &Measures) -> Option<Self> {
        let (of, interval) = (measures.count_of(measure), measures.interval(measure));
        Some(Self { from, value: measures.value(measure)?, of, interval })
    }
}

/// The counts of each day or week, in order; `start` gives the day it is told by.
pub(super) fn pooled(takes: &[&DatedTake], start: fn(Day) -> Day) -> BTreeMap<Day, Measures> {
    let mut all: BTreeMap<Day, Measures> = BTreeMap::new();
    for take in takes {
        all.entry(start(take.day)).or_default().absorb(&take.measures);
    }
    all
}

/// The counts of all takes from one day to another, both among them.
#[must_use]
pub fn between(takes: &[&DatedTake], from: Day, to: Day) -> Measures {
    let mut all = Measures::default();
    let inside = takes.iter().filter(|take| (from..=to).contains(&take.day));
    inside.for_each(|take| all.absorb(&take.measures));
    all
}

/// Days in a row on which something was played.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct DayStreaks {
    /// Days with anything at all.
    pub days: u32,
    /// The row that goes on to today, or to yesterday where today is still to come.
    pub current: u32,
    /// The longest row.
    pub longest: u32,
}

impl DayStreaks {
    /// Of days in any order, as of `today`; later ones are left out.
    #[must_use]
    pub fn of(mut days: Vec<Day>, today: Day) -> Self {
        days.retain(|day| *day <= today);
        days.sort_unstable();
        days.dedup();
        let mut streaks = Self::default();
        let mut row = 0_u32;
        let mut before: Option<Day> = None;
        for day in days {
            row = if before.is_some_and(|b| day.since(b) == 1) { row.saturating_add(1) } else { 1 };
            streaks.days = streaks.days.saturating_add(1);
            streaks.longest = streaks.longest.max(row);
            before = Some(day);
        }
        if before.is_some_and(|last| today.since(last) <= 1) {
            streaks.current = row;
        }
        streaks
    }
}
