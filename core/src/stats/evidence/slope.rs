//! Whether figures rise or fall along a row.

use super::{Fixed, SAME, draws};
use serde::Serialize;

/// A straight line through figures along a row.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Slope {
    /// Change of the figure for each step, by least squares.
    pub step: f64,
    /// Twice the smaller of both one-sided probabilities of so steep a line among a fixed
    /// sequence of arrangements of the figures and the played one, at most 1.
    pub p: f64,
}

/// The seed of the arrangements. Any would do.
const SEED: u64 = 2;

/// The line through `points`: place in the row and figure. `None` unless there are two places.
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "counts of phrases")]
pub fn slope(points: &[(f64, f64)]) -> Option<Slope> {
    let n = points.len() as f64;
    let middle = points.iter().map(|(x, _)| x).sum::<f64>() / n;
    let places: Vec<f64> = points.iter().map(|(x, _)| x - middle).collect();
    let spread: f64 = places.iter().map(|x| x * x).sum();
    if spread <= 0.0 || !spread.is_finite() {
        return None;
    }
    let mut figures: Vec<f64> = points.iter().map(|(_, y)| *y).collect();
    let along = |figures: &[f64]| places.iter().zip(figures).map(|(x, y)| x * y).sum::<f64>();
    let played = along(&figures);
    let grain = SAME * points.iter().fold(0.0, |most, (_, y)| y.abs().max(most)) * spread;
    let mut fixed = Fixed::new(SEED);
    let (mut above, mut below) = (1_u32, 1_u32);
    let drawn = draws(figures.len());
    for _ in 0..drawn {
        let count = figures.len();
        fixed.draw(&mut figures, count);
        let sum = along(&figures);
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
