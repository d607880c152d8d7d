//! Errors of the shares shown to a user for a solo, against its labels.

use super::solo::Solo;
use overbar_core::quantization::PositionClass;
use serde::Serialize;

/// Errors in percentage points, over solos in 4/4.
#[derive(Debug, Default, Clone, Copy, PartialEq, Serialize)]
pub struct ShareError {
    /// How many solos were compared.
    pub solos: usize,
    /// Mean absolute error over solos.
    pub mean_absolute_points: f64,
    /// Mean over solos of the analysed share minus the labelled one.
    pub mean_points: f64,
}

impl ShareError {
    /// The share of starts for which `predicate` holds, analysed against labelled.
    ///
    /// # Errors
    /// If a labelled start has no position.
    pub fn of(solos: &[Solo], predicate: impl Fn(PositionClass) -> bool) -> Result<Self, String> {
        let mut errors = Vec::new();
        for solo in solos {
            let firsts = solo.label.phrase_first_notes.iter();
            let labelled = firsts.filter_map(|n| solo.label.class(*n).transpose());
            let labelled = labelled.collect::<Result<Vec<_>, _>>()?;
            let heard = solo.phrases.iter().map(|p| p.entry.class).collect::<Vec<_>>();
            let points = |of: &[PositionClass]| {
                let count = of.iter().filter(|class| predicate(**class)).count();
                (!of.is_empty()).then(|| 100.0 * count as f64 / of.len() as f64)
            };
            errors.extend(
                points(&heard).zip(points(&labelled)).map(|(heard, labelled)| heard - labelled),
            );
        }
        let mean = |of: fn(f64) -> f64| {
            errors.iter().map(|error| of(*error)).sum::<f64>() / errors.len().max(1) as f64
        };
        Ok(Self {
            solos: errors.len(),
            mean_absolute_points: mean(f64::abs),
            mean_points: mean(|error| error),
        })
    }
}
