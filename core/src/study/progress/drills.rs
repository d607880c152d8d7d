//! Best and latest results of each drill.

use super::day::Day;
use super::periods::DatedDrill;
use crate::stats::Share;
use serde::Serialize;
use std::collections::BTreeMap;

/// A result and its day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DrillResult {
    /// When.
    pub day: Day,
    /// Goals met of those due.
    pub result: Share,
}

/// A drill over time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrillProgress {
    /// The drill.
    pub drill: String,
    /// Times played.
    pub times: usize,
    /// The highest share; of ties the larger count, then the earliest.
    pub best: DrillResult,
    /// The latest.
    pub last: DrillResult,
    /// All, in order of day.
    pub all: Vec<DrillResult>,
}

/// Each drill of `rows`, by name. Results with nothing due are ignored.
pub(super) fn drills(rows: &[&DatedDrill]) -> Vec<DrillProgress> {
    let mut by_name: BTreeMap<&str, Vec<DrillResult>> = BTreeMap::new();
    for row in rows.iter().filter(|row| row.result.of > 0) {
        let result = DrillResult { day: row.day, result: row.result };
        by_name.entry(&row.drill).or_default().push(result);
    }
    by_name
        .into_iter()
        .filter_map(|(drill, mut all)| {
            all.sort_by_key(|result| result.day);
            let rank = |r: &DrillResult| (r.result.share().unwrap_or(0.0), r.result.of);
            let better = |best: DrillResult, next: &DrillResult| {
                if rank(next) > rank(&best) { *next } else { best }
            };
            let best = all.iter().skip(1).fold(*all.first()?, better);
            let (times, last) = (all.len(), *all.last()?);
            Some(DrillProgress { drill: drill.to_owned(), times, best, last, all })
        })
        .collect()
}
