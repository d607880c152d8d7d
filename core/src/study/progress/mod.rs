//! Progress over days and weeks: from dated takes and drill results to figures with intervals. Nothing is
//! stored here.
//!
//! Counts of takes are pooled, so a long take weighs more than a short one. The intervals treat phrases as
//! independent; those of one take are not quite, so intervals are a little narrow. Claims of a *change*
//! or a *trend* are therefore more cautious: their level holds for all figures together, and trends
//! include the scatter between takes.

pub(crate) mod change;
pub mod day;
pub mod drills;
pub mod periods;
pub(crate) mod trend;

use crate::study::advice::measure::Measure;
use crate::study::advice::measures::Measures;
use crate::study::advice::norm::{Norm, norm};
use change::{Change, change};
use day::Day;
use drills::{DrillProgress, drills};
use periods::{DatedDrill, DatedTake, DayStreaks, Period, TakeFilter, between, pooled};
use serde::Serialize;
use trend::{WeeklyTrend, trend};

/// Days in this week, up to today.
pub const WEEK_DAYS: i32 = 7;

/// Days in last month, before this week.
pub const MONTH_DAYS: i32 = 28;

/// The progress of one player or all, over one tune or all.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Progress {
    /// Its last day.
    pub today: Day,
    /// Take count.
    pub takes: usize,
    /// How many of them have beats that are approximate.
    pub approximate_takes: u32,
    /// Days with a take or a drill.
    pub days: DayStreaks,
    /// Each figure.
    pub figures: Vec<FigureProgress>,
    /// Each drill, by name.
    pub drills: Vec<DrillProgress>,
    /// The measures of this week.
    #[serde(skip)]
    pub this_week: Measures,
    /// The measures of last month.
    #[serde(skip)]
    pub last_month: Measures,
}

/// A figure over time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FigureProgress {
    /// The figure.
    pub measure: Measure,
    /// The norm of recorded solos; null if some takes are not in 4/4.
    pub norm: Option<Norm>,
    /// By day.
    pub days: Vec<Period>,
    /// By week.
    pub weeks: Vec<Period>,
    /// This week against last month.
    pub change: Option<Change>,
    /// Over all the time.
    pub trend: Option<WeeklyTrend>,
}

/// The progress as of `today`, of takes and results in any order.
pub fn progress(
    takes: &[DatedTake],
    results: &[DatedDrill],
    choice: TakeFilter<'_>,
    today: Day,
) -> Progress {
    let chosen: Vec<&DatedTake> = takes
        .iter()
        .filter(|take| take.day <= today && choice.takes(&take.player, &take.tune))
        .collect();
    let results: Vec<&DatedDrill> = results
        .iter()
        .filter(|row| row.day <= today && choice.takes(&row.player, &row.tune))
        .collect();
    let days = chosen.iter().map(|take| take.day).chain(results.iter().map(|row| row.day));
    let days = DayStreaks::of(days.collect(), today);
    let (by_day, by_week) = (pooled(&chosen, |day| day), pooled(&chosen, Day::monday));
    let week_from = today.plus(1 - WEEK_DAYS);
    let this_week = between(&chosen, week_from, today);
    let last_month = between(&chosen, week_from.plus(-MONTH_DAYS), week_from.plus(-1));
    let in_four = !chosen.iter().any(|take| take.measures.other_metre);
    let figures = Measure::ALL
        .into_iter()
        .map(|measure| {
            let each = |pooled: &std::collections::BTreeMap<Day, Measures>| {
                pooled.iter().filter_map(|(day, all)| Period::of(*day, measure, all)).collect()
            };
            FigureProgress {
                measure,
                norm: in_four.then(|| norm(measure)),
                days: each(&by_day),
                weeks: each(&by_week),
                change: change(measure, &this_week, &last_month),
                trend: trend(measure, &chosen),
            }
        })
        .collect();
    let takes = chosen.len();
    let approximate_takes = chosen.iter().map(|take| take.measures.approximate).sum();
    Progress {
        today,
        takes,
        approximate_takes,
        days,
        figures,
        drills: drills(&results),
        this_week,
        last_month,
    }
}

#[cfg(test)]
mod tests;
