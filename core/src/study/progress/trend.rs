//! Whether a figure rises or falls over weeks.
//!
//! Shares: weighted regression with binomial errors (the trend in proportions of Armitage 1955),
//! widened by overdispersion between takes (quasi-likelihood; McCullagh and Nelder 1989, section
//! 4.5). Lag: the same regression with the observed scatter.

use super::periods::DatedTake;
use crate::stats::{Z_95, real};
use crate::study::advice::measure::Measure;
use serde::Serialize;

/// Standard errors for a claim, so that eight figures together make a false one in 5 % of cases: the
/// 1 − .05 / 16 point of the standard normal distribution (Bonferroni).
pub const Z_ALL_FIGURES: f64 = 2.734_368_8;

/// Fewest takes for a trend. Origin: common practice, no source; ten give the scatter within a
/// third.
pub const MIN_TAKES: usize = 10;

/// Fewest days from the first to the last.
pub const MIN_DAYS: i32 = 14;

/// A trend per week.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WeeklyTrend {
    /// The slope per week: of a share from 0 to 1, or milliseconds.
    pub a_week: f64,
    /// Lower end of its 95 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// It is beyond chance, given how many figures are tested.
    pub rises_or_falls: bool,
}

/// A take's figure, weighted by its count.
#[derive(Debug, Clone, Copy)]
pub(super) struct WeightedTake {
    pub(super) week: f64,
    pub(super) value: f64,
    pub(super) weight: f64,
}

/// The trend of a measure over takes in any order; `None` with too few takes, and for the most frequent
/// position, which may change.
pub fn trend(measure: Measure, takes: &[&DatedTake]) -> Option<WeeklyTrend> {
    let first = takes.iter().map(|take| take.day).min()?;
    let last = takes.iter().map(|take| take.day).max()?;
    if measure == Measure::OnePlaceEntries || last.since(first) < MIN_DAYS {
        return None;
    }
    let points: Vec<WeightedTake> = takes
        .iter()
        .filter_map(|take| {
            let weight = f64::from(take.measures.count_of(measure));
            let week = f64::from(take.day.since(first)) / 7.0;
            Some(WeightedTake { week, value: take.measures.value(measure)?, weight })
        })
        .collect();
    if points.len() < MIN_TAKES {
        return None;
    }
    let line = RegressionLine::through(&points)?;
    let degrees = points.len().saturating_sub(2).max(1);
    let scatter = line.weighted_squares / real(degrees);
    let variance = if measure == Measure::Lag {
        scatter
    } else {
        // At least the binomial variance.
        scatter.max(line.mean * (1.0 - line.mean))
    };
    let error = (variance / line.spread).sqrt();
    let beyond = |z: f64| line.slope.abs() > z * error;
    Some(WeeklyTrend {
        a_week: line.slope,
        low: line.slope - Z_95 * error,
        high: line.slope + Z_95 * error,
        rises_or_falls: beyond(Z_ALL_FIGURES),
    })
}

/// A straight line by weighted least squares.
pub(super) struct RegressionLine {
    pub(super) slope: f64,
    pub(super) mean: f64,
    /// Weighted squares of the weeks about their mean.
    pub(super) spread: f64,
    /// Weighted squares of the values about the line.
    pub(super) weighted_squares: f64,
}

impl RegressionLine {
    /// `None` if all points have the same week.
    pub(super) fn through(points: &[WeightedTake]) -> Option<Self> {
        let sum = |of: &dyn Fn(&WeightedTake) -> f64| {
            points.iter().map(|p| p.weight * of(p)).sum::<f64>()
        };
        let whole = sum(&|_| 1.0);
        let (week, mean) = (sum(&|p| p.week) / whole, sum(&|p| p.value) / whole);
        let spread = sum(&|p| (p.week - week).powi(2));
        if !(whole > 0.0 && spread > 0.0) {
            return None;
        }
        let slope = sum(&|p| (p.week - week) * (p.value - mean)) / spread;
        let weighted_squares = sum(&|p| (p.value - mean - slope * (p.week - week)).powi(2));
        Some(Self { slope, mean, spread, weighted_squares })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Smokers among patients of four groups, the worked example of R's `prop.trend.test`: 83 of 86,
    /// 90 of 93, 129 of 136, 70 of 82 have X² = 8.2249 (from memory; equal to a computation with
    /// numpy from the published definition).
    #[test]
    fn the_trend_in_proportions_as_published() {
        let groups = [(83.0, 86.0), (90.0, 93.0), (129.0, 136.0), (70.0, 82.0)];
        let points: Vec<WeightedTake> = [0.0, 1.0, 2.0, 3.0]
            .into_iter()
            .zip(groups)
            .map(|(week, (count, of))| WeightedTake { week, value: count / of, weight: of })
            .collect();
        let line = RegressionLine::through(&points).unwrap();
        let square = line.slope.powi(2) * line.spread / (line.mean * (1.0 - line.mean));
        assert!((square - 8.2249).abs() < 5e-5, "{square}");
    }
}
