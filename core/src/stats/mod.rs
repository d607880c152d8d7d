//! Shares, means and differences, each with its count and its uncertainty.
//!
//! Knows nothing of music. Uses no other stage.

pub(crate) mod distributions;
pub(crate) mod evidence;
pub(crate) mod ranks;
pub mod sample;
pub(crate) mod vec_growth;

use crate::stats::ranks::Ranks;
use serde::{Serialize, Serializer, ser::SerializeStruct};

/// A count as a floating-point number.
#[expect(clippy::cast_precision_loss, reason = "counts stay far below 2^52")]
pub(crate) fn real(count: usize) -> f64 {
    count as f64
}

/// The 97.5 % point of the standard normal distribution.
pub(crate) const Z_95: f64 = 1.959_963_984_540_054;

/// A proportion: `count` of `of`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Share {
    /// How many have the property.
    pub count: u32,
    /// Of how many in all.
    pub of: u32,
}

impl Share {
    /// Counts one more, with or without the property.
    pub fn add(&mut self, has: bool) {
        self.count = self.count.saturating_add(u32::from(has));
        self.of = self.of.saturating_add(1);
    }

    /// Adds the counts of another share.
    pub fn absorb(&mut self, other: &Self) {
        self.count = self.count.saturating_add(other.count);
        self.of = self.of.saturating_add(other.of);
    }

    /// The share, from 0 to 1; `None` if nothing was counted.
    pub fn share(&self) -> Option<f64> {
        (self.of > 0).then(|| f64::from(self.count) / f64::from(self.of))
    }

    /// The 95 % score interval without continuity correction (Wilson 1927; Newcombe 1998,
    /// method 3); `None` if nothing was counted.
    pub fn interval(&self) -> Option<(f64, f64)> {
        self.interval_at(Z_95)
    }

    /// The score interval at `z` standard deviations of the normal distribution.
    pub(crate) fn interval_at(&self, z: f64) -> Option<(f64, f64)> {
        let share = self.share()?;
        let n = f64::from(self.of);
        let z2 = z * z;
        let middle = share + z2 / (2.0 * n);
        let half = z * (share * (1.0 - share) / n + z2 / (4.0 * n * n)).sqrt();
        let scale = 1.0 + z2 / n;
        let low = if self.count == 0 { 0.0 } else { ((middle - half) / scale).max(0.0) };
        let high = if self.count == self.of { 1.0 } else { ((middle + half) / scale).min(1.0) };
        Some((low, high))
    }
}

/// The difference of two shares, each from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Difference {
    /// The first minus the second.
    pub by: f64,
    /// Lower end of its interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// The first share minus the second, with Newcombe's hybrid score interval (1998, method 10) at `z`
/// standard deviations of the normal distribution. `None` if either share counts nothing.
pub fn difference(first: &Share, second: &Share, z: f64) -> Option<Difference> {
    let (a, b) = (first.share()?, second.share()?);
    let ((low_a, high_a), (low_b, high_b)) = (first.interval_at(z)?, second.interval_at(z)?);
    let by = a - b;
    let low = by - (a - low_a).hypot(high_b - b);
    Some(Difference { by, low, high: by + (high_a - a).hypot(b - low_b) })
}

/// As `{count, of, share, low, high}`; the last three are null if nothing was counted.
impl Serialize for Share {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut fields = serializer.serialize_struct("Share", 5)?;
        fields.serialize_field("count", &self.count)?;
        fields.serialize_field("of", &self.of)?;
        fields.serialize_field("share", &self.share())?;
        let (low, high) = self.interval().unzip();
        fields.serialize_field("low", &low)?;
        fields.serialize_field("high", &high)?;
        fields.end()
    }
}

/// Quartiles by linear interpolation between order statistics (Hyndman and Fan 1996, type 7;
/// numpy's default).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Quartiles {
    /// The first quartile.
    pub lower: f64,
    /// The second quartile.
    pub median: f64,
    /// The third quartile.
    pub upper: f64,
    /// The maximum.
    pub longest: f64,
}

impl Quartiles {
    /// The quartiles of `values`; `None` if there are none.
    pub fn of(values: &Ranks) -> Option<Self> {
        let at = |rank| values.at(rank);
        Some(Self {
            lower: quantile(values.len(), at, 1)?,
            median: quantile(values.len(), at, 2)?,
            upper: quantile(values.len(), at, 3)?,
            longest: values.at(values.len().checked_sub(1)?)?,
        })
    }
}

/// The median of `values`, which are sorted in place; `None` if there are none.
pub fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    quantile(values.len(), |rank| values.get(rank).copied(), 2)
}

/// The median of ranked values; `None` if there are none.
pub fn median_of(values: &Ranks) -> Option<f64> {
    quantile(values.len(), |rank| values.at(rank), 2)
}

fn quantile(len: usize, at: impl Fn(usize) -> Option<f64>, quarter: usize) -> Option<f64> {
    let steps = len.checked_sub(1)? * quarter;
    let below = at(steps / 4)?;
    let above = at(steps / 4 + 1).unwrap_or(below);
    let part = match steps % 4 {
        0 => 0.0,
        1 => 0.25,
        2 => 0.5,
        _ => 0.75,
    };
    Some(below + (above - below) * part)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quartiles(values: &[f64]) -> Option<Quartiles> {
        Quartiles::of(&values.iter().copied().collect())
    }

    #[test]
    fn nothing_has_no_share() {
        assert_eq!(Share::default().share(), None);
        assert_eq!(Share::default().interval(), None);
        assert_eq!(quartiles(&[]), None);
    }

    /// Source: the cases of Newcombe 1998, method 10, from memory; equal to statsmodels 0.15,
    /// `confint_proportions_2indep`, method `newcomb`.
    #[test]
    fn differences_as_published() {
        for ((a, n), (b, m), by, low, high) in [
            ((56, 70), (48, 80), 0.2, 0.0524, 0.3339),
            ((9, 10), (3, 10), 0.6, 0.1705, 0.8090),
            ((6, 7), (2, 7), 0.5714, 0.0582, 0.8062),
            ((5, 56), (0, 29), 0.0893, -0.0381, 0.1926),
            ((0, 10), (0, 20), 0.0, -0.1611, 0.2775),
        ] {
            let (first, second) = (Share { count: a, of: n }, Share { count: b, of: m });
            let got = difference(&first, &second, Z_95).unwrap();
            for (got, expected) in [(got.by, by), (got.low, low), (got.high, high)] {
                assert!((got - expected).abs() < 5e-5, "{a} of {n} and {b} of {m}: {got}");
            }
        }
        assert_eq!(difference(&Share::default(), &Share { count: 1, of: 2 }, Z_95), None);
    }

    #[test]
    fn quartiles_interpolate() {
        // numpy.percentile([1, 2, 4, 8], [25, 50, 75]) = 1.75, 3, 5.
        let q = quartiles(&[8.0, 1.0, 4.0, 2.0]).unwrap();
        assert_eq!((q.lower, q.median, q.upper, q.longest), (1.75, 3.0, 5.0, 8.0));
        let one = quartiles(&[3.0]).unwrap();
        assert_eq!((one.lower, one.median, one.upper), (3.0, 3.0, 3.0));
    }
}
