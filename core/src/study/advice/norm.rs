//! Norms of recorded solos.
//!
//! Percentiles over the solos in 4/4 among 212 labelled solos of the Weimar Jazz Database
//! (Pfleiderer and others 2017, ODbL), each analysed like a take. A figure counts if it has at least
//! [`super::rules::MIN_PHRASES`] phrases or windows, or [`super::rules::MIN_NOTES`] notes or
//! pairs. `cargo xtask norms FOLDER` computes them.

use super::measure::Measure;
use serde::Serialize;

/// Percentiles of a figure over recorded solos.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Norm {
    /// 10th percentile.
    pub low: f64,
    /// 25th.
    pub lower: f64,
    /// 50th.
    pub median: f64,
    /// 75th.
    pub upper: f64,
    /// 90th.
    pub high: f64,
}

/// The source of the norms.
pub const SOURCE: &str =
    "jazz solos in 4/4 of the Weimar Jazz Database (Pfleiderer and others 2017, ODbL)";

/// The norm of a measure: a share from 0 to 1, or milliseconds of lag.
pub fn norm(measure: Measure) -> Norm {
    let [low, lower, median, upper, high] = match measure {
        Measure::BeatOneEntries => [0.0, 0.0, 0.065, 0.121, 0.250],
        Measure::OnePlaceEntries => [0.150, 0.188, 0.231, 0.294, 0.361],
        Measure::ShortPhrases => [0.0, 0.083, 0.188, 0.306, 0.484],
        Measure::LongLines => [0.500, 0.800, 0.911, 1.0, 1.0],
        Measure::OverTheBar => [0.795, 0.875, 0.939, 1.0, 1.0],
        Measure::Room => [0.667, 0.755, 0.875, 0.958, 1.0],
        Measure::OnBeatExits => [0.193, 0.286, 0.393, 0.482, 0.578],
        Measure::UnevenEighths => [0.118, 0.152, 0.219, 0.283, 0.351],
        Measure::Lag => [-20.0, -11.5, -0.5, 10.1, 23.2],
    };
    Norm { low, lower, median, upper, high }
}
