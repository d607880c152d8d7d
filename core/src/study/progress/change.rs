//! This week against last month.

use super::trend::Z_ALL_FIGURES;
use crate::stats::sample::Sample;
use crate::stats::{Difference, Z_95, difference};
use crate::study::advice::measure::Measure;
use crate::study::advice::measures::Measures;
use serde::Serialize;

/// A figure of two periods, and their difference.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Change {
    /// This week: a share from 0 to 1, or milliseconds.
    pub now: f64,
    /// The count behind it.
    pub now_of: u32,
    /// Last month.
    pub before: f64,
    /// The count behind it.
    pub before_of: u32,
    /// This week minus last month, with its 95 % interval.
    pub difference: Difference,
    /// The difference is beyond chance, given how many figures are tested.
    pub changed: bool,
}

/// The change of a measure. `None` if either period has too few, and for the most frequent
/// position, which may differ between them.
pub fn change(measure: Measure, now: &Measures, before: &Measures) -> Option<Change> {
    if measure == Measure::OnePlaceEntries {
        return None;
    }
    let at = |z| match (now.share(measure), before.share(measure)) {
        (Some(now), Some(before)) => difference(&now, &before, z),
        _ => mean_difference(&now.lag_from_usual_ms, &before.lag_from_usual_ms, z),
    };
    let cautious = at(Z_ALL_FIGURES)?;
    Some(Change {
        now: now.value(measure)?,
        now_of: now.count_of(measure),
        before: before.value(measure)?,
        before_of: before.count_of(measure),
        difference: at(Z_95)?,
        changed: cautious.low > 0.0 || cautious.high < 0.0,
    })
}

/// The difference of two means with unequal variance, by the normal distribution (for the counts a
/// rule needs, Welch's t differs by less than a tenth).
fn mean_difference(first: &Sample, second: &Sample, z: f64) -> Option<Difference> {
    let part = |sample: &Sample| Some(sample.sd()?.powi(2) / f64::from(sample.count()));
    let by = first.mean()? - second.mean()?;
    let reach = z * (part(first)? + part(second)?).sqrt();
    Some(Difference { by, low: by - reach, high: by + reach })
}
