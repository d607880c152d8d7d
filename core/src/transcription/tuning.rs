//! What the player tunes to.

use core::f32::consts::TAU;

/// The range that is looked for, in cents from 440 Hz: 430 to 450 Hz.
const RANGE: (f32, f32) = (-39.8, 38.9);

/// Notes after which what is found counts half, and how much of it is kept from note to note.
const HALF: f32 = 8.0;
const KEPT: f32 = 0.98;

/// Deviations of notes from the nearest key as directions on a circle of 100 cents, whose mean is the
/// tuning.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tuning {
    given: Option<f32>,
    sum: (f32, f32),
    weight: f32,
}

impl Tuning {
    /// As given in Hz, or to be found.
    pub(super) fn new(given: Option<f64>) -> Self {
        let cents = |hertz: f64| super::single(1_200.0 * (hertz / 440.0).log2());
        let given = given.filter(|hertz| hertz.is_finite() && *hertz > 0.0).map(cents);
        Self { given: given.map(|c| c.clamp(RANGE.0, RANGE.1)), sum: (0.0, 0.0), weight: 0.0 }
    }

    /// Takes in a note by its key at 440 Hz.
    pub(super) fn learn(&mut self, key: f32) {
        let (sin, cos) = (TAU * key).sin_cos();
        self.sum = (self.sum.0 * KEPT + sin, self.sum.1 * KEPT + cos);
        self.weight = self.weight * KEPT + 1.0;
    }

    /// In cents over 440 Hz.
    pub(super) fn cents(&self) -> f32 {
        let found = || {
            let (sin, cos) = self.sum;
            let cents = 100.0 * sin.atan2(cos) / TAU;
            // Notes that agree on no tuning tell little.
            let agreed = sin.hypot(cos) / self.weight.max(1.0);
            cents.clamp(RANGE.0, RANGE.1) * agreed * self.weight / (self.weight + HALF)
        };
        self.given.unwrap_or_else(found)
    }
}
