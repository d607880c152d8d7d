//! A model of one grade: shipped, or fitted here.

use super::logistic::{self, Example, sigmoid};
use super::starts::Starts;
use overbar_core::segmentation::rows::FeatureRow;
use overbar_core::segmentation::weights::Weights;
use overbar_core::segmentation::{Hindsight, bounded};
use std::ops::RangeInclusive;

/// Prior standard deviation of 1 for each weight. Origin: common practice, no source.
const RIDGE: f64 = 1.0;
/// Thresholds tried, in hundredths.
const THRESHOLDS: RangeInclusive<u32> = 30..=60;
/// Scores this close to the best count as the best.
const CLOSE: f64 = 0.001;

/// The weights of a model, and the probability at or above which a phrase begins.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    /// The bias, then a weight for each feature of a row.
    pub weights: Vec<f64>,
    /// The decision threshold.
    pub threshold: f64,
}

/// The model for notes with meaningful ends, and the one for notes without.
pub struct ModelPair {
    pub normal: Model,
    pub gate: Model,
}

impl Model {
    /// The shipped model.
    pub fn shipped(hindsight: Hindsight, gate: bool) -> Self {
        let weights = Weights::of(hindsight, gate);
        let each = weights.features().map(|(_, weight)| weight);
        Self {
            weights: [weights.bias()].into_iter().chain(each).collect(),
            threshold: weights.threshold(),
        }
    }

    /// Fits to rows with their labels. `None` if there is no fit.
    pub fn fitted(rows: &[(&FeatureRow, bool)]) -> Option<Self> {
        let parted = rows.iter().filter(|(row, _)| bounded(0.0, row.rest).is_some());
        let examples: Vec<Example<'_>> =
            parted.map(|(row, begins)| (row.features.as_slice(), *begins)).collect();
        let weights = logistic::fit(&examples, RIDGE)?;
        let mut model = Self { weights, threshold: 0.5 };
        model.threshold = model.best_threshold(rows);
        Some(model)
    }

    /// The middle of the thresholds whose F1 is close to the best: scores are noisy, and this is more stable
    /// than the best one.
    fn best_threshold(&self, rows: &[(&FeatureRow, bool)]) -> f64 {
        let chances: Vec<(f64, bool)> = rows
            .iter()
            .map(|(row, begins)| (self.logit(row).map_or(0.0, sigmoid), *begins))
            .collect();
        let scored = THRESHOLDS.map(|hundredths| {
            let mut starts = Starts::default();
            for (chance, begins) in &chances {
                starts.count(*chance >= f64::from(hundredths) / 100.0, *begins);
            }
            (hundredths, starts.rates().f1)
        });
        let scored: Vec<(u32, f64)> = scored.collect();
        let best = scored.iter().map(|(_, f1)| *f1).fold(0.0, f64::max);
        let close = || scored.iter().filter(|(_, f1)| *f1 >= best - CLOSE).map(|(at, _)| *at);
        let twice = close().min().unwrap_or(0) + close().max().unwrap_or(0);
        f64::from(twice.div_ceil(2)) / 100.0
    }

    /// Log odds that a phrase begins at this row; `None` if it is ruled out.
    pub fn logit(&self, row: &FeatureRow) -> Option<f64> {
        let (bias, weights) = self.weights.split_first()?;
        let weighed = weights.iter().zip(&row.features).map(|(w, x)| w * x);
        bounded(bias + weighed.sum::<f64>(), row.rest)
    }
}

impl ModelPair {
    /// The shipped models.
    pub fn shipped(hindsight: Hindsight) -> Self {
        Self { normal: Model::shipped(hindsight, false), gate: Model::shipped(hindsight, true) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(rest: f64, feature: f64) -> FeatureRow {
        FeatureRow { note: 1, rest, gate: false, features: vec![feature] }
    }

    /// Probabilities of .2 and .5 from a bias of 0 and feature values of ln 4 and 0.
    #[test]
    fn the_threshold_is_the_middle_of_the_best() {
        let model = Model { weights: vec![0.0, 1.0], threshold: 0.0 };
        let rows = [row(0.5, -(4.0_f64.ln())), row(0.5, 0.0), row(0.01, 9.0)];
        // From .30 to .50 one is found, correctly; above that none is.
        let best =
            |begins: [bool; 3]| model.best_threshold(&rows.iter().zip(begins).collect::<Vec<_>>());
        assert_eq!(best([false, true, false]), 0.40);
        // None begins: finding nothing is best, from .51 on; .555 rounds to .56.
        assert_eq!(best([false, false, false]), 0.56);
    }

    #[test]
    fn short_rests_are_excluded_from_scores_and_fit() {
        let model = Model { weights: vec![0.0, 1.0], threshold: 0.5 };
        assert_eq!(model.logit(&row(0.01, 9.0)), None);
        assert_eq!(model.logit(&row(0.5, 2.0)), Some(2.0));
        let scored = [row(0.5, 1.0), row(0.5, -1.0), row(0.5, 0.5), row(0.5, -0.5)];
        let mut rows: Vec<(&FeatureRow, bool)> =
            scored.iter().zip([true, false, false, true]).collect();
        let fitted = Model::fitted(&rows).unwrap();
        let ruled_out = row(0.01, -5.0);
        rows.push((&ruled_out, true));
        assert_eq!(Model::fitted(&rows).unwrap().weights, fitted.weights);
        assert_eq!(Model::fitted(&rows[4..]), None);
    }
}
