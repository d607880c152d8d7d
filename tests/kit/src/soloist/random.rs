//! Random draws. Only sums and products are used, so that they are the same on every machine.

use fastrand::Rng;
use std::ops::RangeInclusive;

/// No draw of [`bell`] lies farther out than this many spreads.
pub const FARTHEST: f64 = 4.0;

/// About normal, with mean 0 and spread 1: the sum of twelve even draws, cut at `FARTHEST`.
pub fn bell(random: &mut Rng) -> f64 {
    loop {
        let draw = (0..12).map(|_| random.f64()).sum::<f64>() - 6.0;
        if draw.abs() <= FARTHEST {
            return draw;
        }
    }
}

/// An even draw from a range.
pub fn within(range: &RangeInclusive<f64>, random: &mut Rng) -> f64 {
    let (low, high) = (*range.start(), *range.end());
    (low + (high - low) * random.f64()).min(high)
}

/// True in this share of cases.
pub fn chance(share: f64, random: &mut Rng) -> bool {
    random.f64() < share
}

/// One of these, each as often as its weight says. `None` where no weight is positive.
pub fn weighted<T>(choices: impl Iterator<Item = (u32, T)> + Clone, random: &mut Rng) -> Option<T> {
    let sum: u32 = choices.clone().map(|(weight, _)| weight).sum();
    let mut left = if sum > 0 { random.u32(..sum) } else { 0 };
    for (weight, choice) in choices {
        if left < weight {
            return Some(choice);
        }
        left -= weight;
    }
    None
}
