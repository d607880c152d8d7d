//! Scores of the boundary models, one grade of hindsight at a time.

use super::calibration::Calibration;
use super::examples::ScoredOnset;
use super::parts::Parts;
use super::solo::Solo;
use super::starts::Starts;
use overbar_core::segmentation::Hindsight;
use serde::Serialize;

/// Scores of one grade.
#[derive(Debug, Serialize)]
pub struct Grade {
    grade: &'static str,
    starts: Parts<Starts>,
    calibration: Calibration,
}

impl Grade {
    /// For `solos`, scored one by one.
    pub fn of(hindsight: Hindsight, solos: &[Solo], scored: &[Vec<ScoredOnset>]) -> Self {
        let mut starts = Parts::default();
        let mut calibration = Calibration::default();
        for (solo, onsets) in solos.iter().zip(scored) {
            let mut count = Starts::default();
            for onset in onsets {
                calibration.add(onset.probability(0.0), onset.begins);
                count.count(onset.found(0.0), onset.begins);
            }
            starts.add(&solo.label, &count);
        }
        Self { grade: hindsight.name(), starts, calibration }
    }

    /// Three lines; `which` says which weights were used.
    pub fn lines(&self, which: &str) -> String {
        let rates = self.starts.pooled.rates();
        format!(
            "{which}, {:8} precision {:.4}  recall {:.4}  F1 {:.4}  calibration error {:.4}, of \
             rests {:.4}\n{}",
            format!("{}:", self.grade),
            rates.precision,
            rates.recall,
            rates.f1,
            self.calibration.error(),
            self.calibration.error_of_rests(),
            self.starts.lines(|starts| format!("{:.3}", starts.rates().f1)),
        )
    }
}
