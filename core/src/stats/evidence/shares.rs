//! The difference of two shares.

use crate::stats::{Difference, Share, Z_95, difference};
use serde::Serialize;
use statrs::function::erf::erfc;

/// The difference of two shares, each from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ShareDifference {
    /// The first minus the second.
    pub difference: f64,
    /// Lower end of its 95 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// The level at which such an interval just touches 0.
    pub p: f64,
}

/// The difference with its interval; see [`difference`]. `None` if either share counts nothing.
pub fn share_difference(first: Share, second: Share) -> Option<ShareDifference> {
    let Difference { by, low, high } = difference(&first, &second, Z_95)?;
    Some(ShareDifference { difference: by, low, high, p: level(first, second)? })
}

/// Bisections: to 40 / 2^60, below rounding.
const HALVINGS: u32 = 60;

/// By bisection: the end next to 0 moves towards it as `z` grows.
fn level(first: Share, second: Share) -> Option<f64> {
    let above = first.share()? >= second.share()?;
    let excludes = |z: f64| {
        let ends = difference(&first, &second, z);
        ends.is_some_and(|ends| if above { ends.low > 0.0 } else { ends.high < 0.0 })
    };
    let (mut within, mut beyond) = (0.0, 40.0);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (within + beyond);
        if excludes(middle) { within = middle } else { beyond = middle }
    }
    Some(erfc(within / core::f64::consts::SQRT_2))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(count: u32, of: u32) -> Share {
        Share { count, of }
    }

    /// Source: the cases of Newcombe 1998, method 10, from memory; equal to statsmodels 0.15,
    /// `confint_proportions_2indep`, method `newcomb`.
    #[test]
    fn the_published_intervals() {
        for ((a, n), (b, m), difference, low, high) in [
            ((56, 70), (48, 80), 0.2, 0.0524, 0.3339),
            ((9, 10), (3, 10), 0.6, 0.1705, 0.8090),
            ((6, 7), (2, 7), 0.5714, 0.0582, 0.8062),
            ((5, 56), (0, 29), 0.0893, -0.0381, 0.1926),
            ((0, 10), (0, 20), 0.0, -0.1611, 0.2775),
        ] {
            let got = share_difference(share(a, n), share(b, m)).unwrap();
            assert!((got.difference - difference).abs() < 5e-5, "{a}/{n}: {got:?}");
            assert!((got.low - low).abs() < 5e-5, "{a}/{n}: {got:?}");
            assert!((got.high - high).abs() < 5e-5, "{a}/{n}: {got:?}");
            // The level and the interval tell the same.
            assert_eq!(got.p < 0.05, low > 0.0, "{a}/{n}: {got:?}");
        }
    }

    #[test]
    fn turned_round_it_is_its_opposite() {
        let (a, b) = (share(7, 12), share(2, 11));
        let (one, other) = (share_difference(a, b).unwrap(), share_difference(b, a).unwrap());
        assert!((one.low + other.high).abs() < 1e-12 && (one.p - other.p).abs() < 1e-12);
        let same = share_difference(a, a).unwrap();
        assert!(same.difference == 0.0 && same.p > 0.999_999);
        assert_eq!(share_difference(a, Share::default()), None);
    }
}
