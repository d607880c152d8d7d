//! Shares with their uncertainty.

use serde::{Serialize, Serializer, ser::SerializeStruct};

/// The 97.5 % point of the standard normal distribution.
pub(crate) const Z_95: f64 = 1.959_963_984_540_054;

/// `count` of `of`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Share {
    /// How many.
    pub count: u32,
    /// Of how many.
    pub of: u32,
}

impl Share {
    /// Counts one more, which has the property or has not.
    pub fn add(&mut self, has: bool) {
        self.count = self.count.saturating_add(u32::from(has));
        self.of = self.of.saturating_add(1);
    }

    /// Takes in all that another share counted.
    pub fn absorb(&mut self, other: &Self) {
        self.count = self.count.saturating_add(other.count);
        self.of = self.of.saturating_add(other.of);
    }

    /// The share, from 0 to 1; `None` of nothing.
    #[must_use]
    pub fn share(&self) -> Option<f64> {
        (self.of > 0).then(|| f64::from(self.count) / f64::from(self.of))
    }

    /// The 95 % interval of the share by Wilson's score method without continuity correction
    /// (Wilson 1927; Newcombe 1998, method 3); `None` of nothing.
    #[must_use]
    pub fn interval(&self) -> Option<(f64, f64)> {
        self.interval_at(Z_95)
    }

    /// The same interval at `z` standard deviations of the normal distribution.
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

/// As `{count, of, share, low, high}`; the last three null of nothing.
impl Serialize for Share {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut fields = serializer.serialize_struct("Share", 5)?;
        fields.serialize_field("count", &self.count)?;
        fields.serialize_field("of", &self.of)?;
        fields.serialize_field("share", &self.share())?;
        fields.serialize_field("low", &self.interval().map(|i| i.0))?;
        fields.serialize_field("high", &self.interval().map(|i| i.1))?;
        fields.end()
    }
}

/// Quartiles by linear interpolation between order statistics (Hyndman and Fan 1996, type 7,
/// as numpy does by default).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Quartiles {
    /// A quarter lie at or under it.
    pub lower: f64,
    /// Half do.
    pub median: f64,
    /// Three quarters do.
    pub upper: f64,
    /// The greatest.
    pub longest: f64,
}

impl Quartiles {
    /// Of `values` in any order; `None` of nothing.
    #[must_use]
    pub fn of(mut values: Vec<f64>) -> Option<Self> {
        values.sort_unstable_by(f64::total_cmp);
        Some(Self {
            lower: quantile(&values, 1)?,
            median: quantile(&values, 2)?,
            upper: quantile(&values, 3)?,
            longest: *values.last()?,
        })
    }
}

/// The median of `values`, which are sorted; `None` of nothing.
#[must_use]
pub fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    quantile(values, 2)
}

fn quantile(sorted: &[f64], quarter: usize) -> Option<f64> {
    let steps = sorted.len().checked_sub(1)? * quarter;
    let below = *sorted.get(steps / 4)?;
    let above = *sorted.get(steps / 4 + 1).unwrap_or(&below);
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

    #[test]
    fn nothing_has_no_share() {
        assert_eq!(Share::default().share(), None);
        assert_eq!(Share::default().interval(), None);
        assert_eq!(Quartiles::of(Vec::new()), None);
    }

    #[test]
    fn quartiles_interpolate() {
        // numpy.percentile([1, 2, 4, 8], [25, 50, 75]) = 1.75, 3, 5.
        let q = Quartiles::of(vec![8.0, 1.0, 4.0, 2.0]).unwrap();
        assert_eq!((q.lower, q.median, q.upper, q.longest), (1.75, 3.0, 5.0, 8.0));
        let one = Quartiles::of(vec![3.0]).unwrap();
        assert_eq!((one.lower, one.median, one.upper), (3.0, 3.0, 3.0));
    }
}
