//! A mean over the last seconds that is right from the first value on.

/// See the module.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Mean {
    sum: f32,
    weight: f32,
}

impl Mean {
    /// Starts as if `value` had been added so many times.
    pub(super) fn starting(value: f32, times: f32) -> Self {
        Self { sum: value * times, weight: times }
    }

    /// Takes in a value; what is `length` values old counts for a third.
    pub(super) fn add(&mut self, value: f32, length: f32) {
        let keep = 1.0 - 1.0 / length;
        self.sum = self.sum * keep + value;
        self.weight = self.weight * keep + 1.0;
    }

    /// The mean; 0 before the first value.
    pub(super) fn get(&self) -> f32 {
        if self.weight > 0.0 { self.sum / self.weight } else { 0.0 }
    }
}
