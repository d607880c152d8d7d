//! The player's tuning.

use core::f32::consts::TAU;

/// The range of tunings, in cents from 440 Hz: 430 to 450 Hz.
const RANGE: (f32, f32) = (-39.8, 38.9);

/// Notes after which the estimate has half its weight, and its decay per note.
const HALF: f32 = 8.0;
const DECAY: f32 = 0.98;

/// The circular mean of the notes' deviations from the nearest key, on a circle of 100 cents.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tuning {
    given: Option<f32>,
    sum: (f32, f32),
    weight: f32,
}

impl Tuning {
    /// As given in Hz, or else estimated.
    pub(super) fn new(given: Option<f64>) -> Self {
        let cents = |hertz: f64| super::single(1_200.0 * (hertz / 440.0).log2());
        let given = given.filter(|hertz| hertz.is_finite() && *hertz > 0.0).map(cents);
        Self { given: given.map(|c| c.clamp(RANGE.0, RANGE.1)), sum: (0.0, 0.0), weight: 0.0 }
    }

    /// Adds a note by its MIDI key at 440 Hz.
    pub(super) fn learn(&mut self, key: f32) {
        let (sin, cos) = (TAU * key).sin_cos();
        self.sum = (self.sum.0 * DECAY + sin, self.sum.1 * DECAY + cos);
        self.weight = self.weight * DECAY + 1.0;
    }

    /// In cents above 440 Hz.
    pub(super) fn cents(&self) -> f32 {
        let found = || {
            let (sin, cos) = self.sum;
            let cents = 100.0 * sin.atan2(cos) / TAU;
            // Notes that disagree have little weight.
            let agreed = sin.hypot(cos) / self.weight.max(1.0);
            cents.clamp(RANGE.0, RANGE.1) * agreed * self.weight / (self.weight + HALF)
        };
        self.given.unwrap_or_else(found)
    }

    /// The nearest key to a fractional one at 440 Hz, and the deviation in cents, from −50 to 50.
    pub(super) fn name(&self, key: f32) -> (u8, f32) {
        let tuned = key - self.cents() / 100.0;
        let nearest = tuned.round().clamp(0.0, 127.0);
        let name = u8::try_from(super::nearest(nearest)).unwrap_or(127);
        (name, ((tuned - nearest) * 100.0).clamp(-50.0, 50.0))
    }
}
