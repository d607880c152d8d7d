//! Trends from chorus to chorus.

use super::Form;
use crate::phrase::Phrase;
use crate::stats::evidence::{Claim, Slope, claims, slope};
use core::fmt;
use serde::Serialize;

/// The accepted chance of a false claim over both trends.
const LEVEL: f64 = 0.05;

/// The figure of a trend.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TrendOf {
    /// The share of phrases that start off the beat.
    OffBeatEntries,
    /// The length of phrases in bars.
    Bars,
}

/// A trend over choruses.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Trend {
    /// Its figure.
    pub of: TrendOf,
    /// Number of phrases.
    pub phrases: usize,
    /// Number of choruses.
    pub choruses: usize,
    /// The change per chorus: a share from 0 to 1, or bars.
    pub slope: Slope,
    /// It is beyond chance, at 5 % for both trends together.
    pub holds: bool,
}

/// The trends over the choruses of a take; empty with phrases in fewer than two.
pub fn trends(phrases: &[Phrase], form: &Form) -> Vec<Trend> {
    let placed: Vec<(i64, &Phrase)> =
        phrases.iter().filter_map(|p| Some((form.position(p.entry.bar)?.chorus, p))).collect();
    let mut numbers: Vec<i64> = placed.iter().map(|(chorus, _)| *chorus).collect();
    numbers.dedup();
    #[expect(clippy::cast_precision_loss, reason = "choruses stay far below 2^52")]
    let line = |figure: fn(&Phrase) -> f64| {
        let points: Vec<_> = placed.iter().map(|(c, p)| (*c as f64, figure(p))).collect();
        slope(&points)
    };
    let found: Vec<(TrendOf, Slope)> = [
        (TrendOf::OffBeatEntries, line(|p| f64::from(u8::from(p.enters_off_beat())))),
        (TrendOf::Bars, line(|p| p.bars)),
    ]
    .into_iter()
    .filter_map(|(of, slope)| Some((of, slope?)))
    .collect();
    let both: Vec<Claim> = found.iter().map(|(_, s)| Claim { p: s.p, weight: 1.0 }).collect();
    let held = claims(&both, LEVEL);
    found
        .into_iter()
        .zip(held)
        .map(|((of, slope), holds)| Trend {
            of,
            phrases: placed.len(),
            choruses: numbers.len(),
            slope,
            holds,
        })
        .collect()
}

impl fmt::Display for Trend {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (choruses, phrases, step) = (self.choruses, self.phrases, self.slope.step);
        if !self.holds {
            let what = match self.of {
                TrendOf::OffBeatEntries => "off-beat starts",
                TrendOf::Bars => "phrase length",
            };
            return write!(
                f,
                "{what}: no clear trend over {choruses} choruses ({phrases} phrases)"
            );
        }
        match self.of {
            TrendOf::OffBeatEntries => {
                let rise = if step > 0.0 { "rise" } else { "fall" };
                let points = (step * 100.0).abs();
                write!(f, "off-beat starts {rise} by {points:.0} points per chorus")?;
            }
            TrendOf::Bars => {
                let longer = if step > 0.0 { "longer" } else { "shorter" };
                write!(f, "phrases get {longer} by {:.1} bars per chorus", step.abs())?;
            }
        }
        write!(f, " ({phrases} phrases over {choruses} choruses)")
    }
}
