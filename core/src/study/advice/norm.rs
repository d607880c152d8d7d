//! What recorded solos do, to hold a take's figures against.
//!
//! Percentiles over the solos in four quarters among 212 labelled solos of the Weimar Jazz Database
//! (Pfleiderer and others 2017, ODbL), each heard by this analysis. A solo counts for a figure where
//! at least [`super::rules::LEAST_PHRASES`] phrases or stretches, or
//! [`super::rules::LEAST_NOTES`] notes or pairs, were counted for it. `cargo xtask advice FOLDER`
//! computes them anew.

use super::measure::Measure;
use serde::Serialize;

/// Where the figures of recorded solos lie.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Norm {
    /// A tenth of the solos lie under it.
    pub low: f64,
    /// A quarter do.
    pub lower: f64,
    /// Half do.
    pub median: f64,
    /// Three quarters do.
    pub upper: f64,
    /// Nine tenths do.
    pub high: f64,
}

/// Where the norms are from.
pub const SOURCE: &str =
    "jazz solos in 4/4 of the Weimar Jazz Database (Pfleiderer and others 2017, ODbL)";

/// What is usual of a measure: a share from 0 to 1, of the lag milliseconds.
#[must_use]
pub fn norm(measure: Measure) -> Norm {
    let [low, lower, median, upper, high] = match measure {
        Measure::BeatOneEntries => [0.0, 0.0, 0.065, 0.121, 0.250],
        Measure::OnePlaceEntries => [0.150, 0.188, 0.231, 0.294, 0.361],
        Measure::ShortPhrases => [0.0, 0.083, 0.188, 0.306, 0.484],
        Measure::LongLines => [0.500, 0.800, 0.911, 1.0, 1.0],
        Measure::OverTheBar => [0.795, 0.875, 0.939, 1.0, 1.0],
        Measure::Room => [0.667, 0.755, 0.875, 0.958, 1.0],
        Measure::OnBeatExits => [0.193, 0.286, 0.393, 0.482, 0.578],
        Measure::UnevenEighths => [0.111, 0.161, 0.216, 0.265, 0.333],
        Measure::Lag => [-13.1, -7.8, 0.6, 6.6, 14.7],
    };
    Norm { low, lower, median, upper, high }
}
