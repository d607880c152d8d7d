//! An exponential moving average without start-up bias.

/// An exponential moving average without start-up bias.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Mean {
    sum: f32,
    weight: f32,
}

impl Mean {
    /// Starts as if `value` had been added `times` times.
    pub(super) fn starting(value: f32, times: f32) -> Self {
        Self { sum: value * times, weight: times }
    }

    /// Adds a value; one that is `length` values old has a third of its weight.
    pub(super) fn add(&mut self, value: f32, length: f32) {
        let keep = 1.0 - 1.0 / length;
        self.sum = self.sum * keep + value;
        self.weight = self.weight * keep + 1.0;
    }

    /// The average; 0 before the first value.
    pub(super) fn get(&self) -> f32 {
        if self.weight > 0.0 { self.sum / self.weight } else { 0.0 }
    }
}
