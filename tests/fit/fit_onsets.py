"""Fits how likely a note begins: prints core/src/transcription/weights.rs.

    python fit_onsets.py CANDIDATES... > core/src/transcription/weights.rs

CANDIDATES are written by `overbar-listening --candidates`, one file for each seed and soundfont: a line
for each moment at which a note may begin, of solos and of plain tones, with its condition, its
instrument, 1 where one does or else 0, and its features. What counts as a candidate depends on the notes heard before it, so the tracker is
built with the new weights and all is done again until the figures stay. Needs numpy and scikit-learn.
"""
import sys

import numpy as np
from sklearn.neural_network import MLPClassifier

HIDDEN, DECAY, RATE, BATCH, EPOCHS, SEED = 24, 1e-2, 2e-3, 512, 16, 1


def read(path):
    with open(path) as lines:
        return np.array([line.split(",")[2:] for line in lines], "f4")


rows = np.concatenate([read(path) for path in sys.argv[1:]])
begins, features = rows[:, 0], rows[:, 1:]
mean, spread = features.mean(0), features.std(0) + 1e-3
network = MLPClassifier((HIDDEN,), alpha=DECAY, learning_rate_init=RATE, batch_size=BATCH,
                        max_iter=EPOCHS, random_state=SEED)
network.fit((features - mean) / spread, begins)
(first, second), (bias, last_bias) = network.coefs_, network.intercepts_
# The tracker takes features as they are.
first = first / spread[:, None]
bias = bias - mean @ first


def row(values):
    return "[" + ", ".join(f"{value:.4f}" for value in values) + "]"


print(f"""//! The weights of `network`. Written by `tests/fit/fit_onsets.py`.

use super::features::FEATURES;

/// Hidden units.
pub(super) const HIDDEN: usize = {HIDDEN};

/// For each unit: its bias, its output weight, and its weight for each feature.
pub(super) const BIASES: [f32; HIDDEN] = {row(bias)};
pub(super) const ADDS: [f32; HIDDEN] = {row(second[:, 0])};
pub(super) const WEIGHTS: [[f32; FEATURES]; HIDDEN] = [{", ".join(map(row, first.T))}];

/// The output bias.
pub(super) const BIAS: f32 = {last_bias[0]:.4f};""")
