//! Whether values rise or fall along a sequence.

use super::{Fixed, SAME, draws};
use crate::stats::real;
use serde::Serialize;

/// A straight line through the values of a sequence.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Slope {
    /// Change of the value for each step, by least squares.
    pub step: f64,
    /// By permutation: twice the smaller one-sided probability of a line as steep, at most 1. The
    /// observed order counts among those drawn.
    pub p: f64,
}

/// The seed of the arrangements drawn; arbitrary.
const SEED: u64 = 2;

/// The line through `points`, each an index in the sequence and a value. `None` without two indices.
pub fn slope(points: &[(f64, f64)]) -> Option<Slope> {
    let n = real(points.len());
    let middle = points.iter().map(|(x, _)| x).sum::<f64>() / n;
    let indices: Vec<f64> = points.iter().map(|(x, _)| x - middle).collect();
    let spread: f64 = indices.iter().map(|x| x * x).sum();
    if spread <= 0.0 || !spread.is_finite() {
        return None;
    }
    let mut values: Vec<f64> = points.iter().map(|(_, y)| *y).collect();
    let along = |values: &[f64]| indices.iter().zip(values).map(|(x, y)| x * y).sum::<f64>();
    let played = along(&values);
    let grain = SAME * points.iter().fold(0.0, |most, (_, y)| y.abs().max(most)) * spread;
    let mut fixed = Fixed::new(SEED);
    let (mut above, mut below) = (1_u32, 1_u32);
    let drawn = draws(values.len());
    for _ in 0..drawn {
        let count = values.len();
        fixed.draw(&mut values, count);
        let sum = along(&values);
        above += u32::from(sum >= played - grain);
        below += u32::from(sum <= played + grain);
    }
    let p = (2.0 * f64::from(above.min(below)) / f64::from(drawn + 1)).min(1.0);
    Some(Slope { step: played / spread, p })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_found_and_noise_is_not() {
        let rising: Vec<(f64, f64)> =
            (0..12).map(|i| (f64::from(i / 4), f64::from(i / 4))).collect();
        let got = slope(&rising).unwrap();
        assert!((got.step - 1.0).abs() < 1e-12 && got.p < 0.001, "{got:?}");
        let level: Vec<(f64, f64)> =
            (0..12).map(|i| (f64::from(i / 4), f64::from(i % 4))).collect();
        let got = slope(&level).unwrap();
        assert!(got.step.abs() < 1e-12 && got.p > 0.5, "{got:?}");
        assert_eq!(slope(&[(1.0, 2.0), (1.0, 3.0)]), None);
        assert_eq!(slope(&[]), None);
    }

    /// Three points have six arrangements, of which one rises as steeply: p is 1/3.
    #[test]
    fn three_points_by_hand() {
        let got = slope(&[(1.0, 0.0), (2.0, 1.0), (3.0, 5.0)]).unwrap();
        assert!((got.step - 2.5).abs() < 1e-12 && (got.p - 1.0 / 3.0).abs() < 0.02, "{got:?}");
    }
}
