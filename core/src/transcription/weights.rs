//! How likely a note begins: a logistic model for each situation.

use super::candidates::{Candidate, FEATURES, Situation};

/// A bias and a weight for each feature.
type Weights = (f32, [f32; FEATURES]);

/// Fitted by logistic regression to what `tests/listening` writes of rendered solos with `--candidates`.
const REST: Weights = (
    -3.652,
    [
        -0.189, -0.623, 0.993, 3.814, 4.075, 1.338, 0.501, 0.667, -0.221, 1.678, -2.327, -1.033,
        -1.187, 1.355, 4.727, -0.604,
    ],
);
const MOVED: Weights = (
    -2.208,
    [
        0.157, -0.742, 2.203, 2.934, 3.287, 1.146, 0.550, 0.718, 0.450, 0.860, -4.688, -0.996,
        -1.800, 1.335, -2.854, -0.289,
    ],
);
const SAME: Weights = (
    4.881,
    [
        2.332, -0.205, 4.213, -1.306, 1.471, -0.629, -0.595, -0.405, -0.193, 2.698, 0.000, 4.672,
        -2.574, -0.114, -1.989, -0.606,
    ],
);

/// How likely a note begins there.
pub(super) fn likely(candidate: &Candidate) -> f32 {
    let (bias, weights) = match candidate.situation {
        Situation::Rest => REST,
        Situation::Moved => MOVED,
        Situation::Same => SAME,
    };
    let sum: f32 = weights.iter().zip(candidate.features).map(|(w, f)| w * f).sum();
    1.0 / (1.0 + (-bias - sum).exp())
}
