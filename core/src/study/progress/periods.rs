//! Dated takes and drill results, pooled by day or week.

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
    /// The player.
    pub player: String,
    /// The tune.
    pub tune: String,
    /// Its measures.
    pub measures: Measures,
}

/// A drill's result with its date.
#[derive(Debug, Clone, PartialEq)]
pub struct DatedDrill {
    /// When it was played.
    pub day: Day,
    /// The player.
    pub player: String,
    /// The tune.
    pub tune: String,
    /// The drill and its goal, worded the same each time.
    pub drill: String,
    /// Goals met of those due.
    pub result: Share,
}

/// Whose progress, and over which tune; `None` for all.
#[derive(Debug, Clone, Copy, Default)]
pub struct TakeFilter<'a> {
    /// The player.
    pub player: Option<&'a str>,
    /// The tune.
    pub tune: Option<&'a str>,
}

impl TakeFilter<'_> {
    /// Whether it includes this player and tune.
    pub fn takes(&self, player: &str, tune: &str) -> bool {
        self.player.is_none_or(|own| own == player) && self.tune.is_none_or(|own| own == tune)
    }
}

/// A figure of a day or a week.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Period {
    /// The day, or the Monday of the week.
    pub from: Day,
    /// Its value: a share from 0 to 1, or milliseconds of lag.
    pub value: f64,
    /// The count of phrases, windows, pairs or notes.
    pub of: u32,
    /// Its 95 % interval; null if too few were counted.
    pub interval: Option<(f64, f64)>,
    /// The beats of some of its takes are approximate.
    pub about: bool,
}

impl Period {
    /// A measure of a period; `None` if nothing was counted.
    pub fn of(from: Day, measure: Measure, measures: &Measures) -> Option<Self> {
        let (of, interval) = (measures.count_of(measure), measures.interval(measure));
        let about = measures.approximate > 0;
        Some(Self { from, value: measures.value(measure)?, of, interval, about })
    }
}

/// The measures of each day or week, in order; `start` maps a day to its period.
pub(super) fn pooled(takes: &[&DatedTake], start: fn(Day) -> Day) -> BTreeMap<Day, Measures> {
    let mut all: BTreeMap<Day, Measures> = BTreeMap::new();
    for take in takes {
        all.entry(start(take.day)).or_default().absorb(&take.measures);
    }
    all
}

/// The measures of all takes between two days, inclusive.
pub fn between(takes: &[&DatedTake], from: Day, to: Day) -> Measures {
    let mut all = Measures::default();
    let inside = takes.iter().filter(|take| (from..=to).contains(&take.day));
    inside.for_each(|take| all.absorb(&take.measures));
    all
}

/// Streaks of days with a take or a drill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct DayStreaks {
    /// Day count.
    pub days: u32,
    /// The streak up to today, or to yesterday.
    pub current: u32,
    /// The longest streak.
    pub longest: u32,
}

impl DayStreaks {
    /// The streaks of days in any order, up to `today`.
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
