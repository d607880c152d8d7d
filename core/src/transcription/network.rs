//! The probability of an onset, by a neural network with one hidden layer.

use super::features::FEATURES;
use super::weights::{ADDS, BIAS, BIASES, WEIGHTS};

/// The probability of an onset given these features, from 0 to 1.
pub(super) fn likely(features: &[f32; FEATURES]) -> f32 {
    let units = WEIGHTS.iter().zip(BIASES).zip(ADDS).map(|((weights, bias), adds)| {
        let sum: f32 = weights.iter().zip(features).map(|(weight, value)| weight * value).sum();
        adds * (bias + sum).max(0.0)
    });
    1.0 / (1.0 + (-BIAS - units.sum::<f32>()).exp())
}
