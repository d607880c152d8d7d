//! Shares of a solo's entries as a user is told them, against those of its labels.

use super::solo::Solo;
use overbar_core::quantization::PositionClass;
use serde::Serialize;

/// How far shares are off, in points of a hundred, over solos in 4/4.
#[derive(Debug, Default, Clone, Copy, PartialEq, Serialize)]
pub struct Gap {
    /// How many solos were compared.
    pub solos: usize,
    /// Mean over solos of how far the share is off, either way.
    pub mean_absolute_points: f64,
    /// Mean over solos of the share heard less the share labelled.
    pub mean_points: f64,
}

impl Gap {
    /// Compares the share of entries that are `such`: of the phrases heard, and of those labelled.
    ///
    /// # Errors
    /// Where a labelled start has no place.
    pub fn of(solos: &[Solo], such: impl Fn(PositionClass) -> bool) -> Result<Self, String> {
        let mut gaps = Vec::new();
        for solo in solos {
            let firsts = solo.label.phrase_first_notes.iter();
            let labelled = firsts.filter_map(|n| solo.label.class(*n).transpose());
            let labelled = labelled.collect::<Result<Vec<_>, _>>()?;
            let heard = solo.phrases.iter().map(|p| p.entry.class).collect::<Vec<_>>();
            let points = |of: &[PositionClass]| {
                let count = of.iter().filter(|class| such(**class)).count();
                (!of.is_empty()).then(|| 100.0 * count as f64 / of.len() as f64)
            };
            gaps.extend(points(&heard).zip(points(&labelled)).map(|(heard, said)| heard - said));
        }
        let mean = |of: fn(f64) -> f64| {
            gaps.iter().map(|gap| of(*gap)).sum::<f64>() / gaps.len().max(1) as f64
        };
        Ok(Self {
            solos: gaps.len(),
            mean_absolute_points: mean(f64::abs),
            mean_points: mean(|gap| gap),
        })
    }
}
