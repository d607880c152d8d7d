//! Shares with their uncertainty.

use crate::ranks::Ranks;
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
        let share = self.share()?;
        let n = f64::from(self.of);
        let z2 = Z_95 * Z_95;
        let middle = share + z2 / (2.0 * n);
        let half = Z_95 * (share * (1.0 - share) / n + z2 / (4.0 * n * n)).sqrt();
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
    /// Of `values`; `None` of nothing.
    #[must_use]
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

/// The median of `values`, which it puts in order; `None` of nothing.
#[must_use]
pub fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    quantile(values.len(), |rank| values.get(rank).copied(), 2)
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
        let mut ranks = Ranks::default();
        values.iter().for_each(|value| ranks.insert(*value));
        Quartiles::of(&ranks)
    }

    #[test]
    fn nothing_has_no_share() {
        assert_eq!(Share::default().share(), None);
        assert_eq!(Share::default().interval(), None);
        assert_eq!(quartiles(&[]), None);
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
