//! Count, mean and standard deviation of a sample, with their intervals.

use super::distributions::{mean_reach, sd_factors};
use serde::{Serialize, Serializer, ser::SerializeStruct};

/// Running mean and variance (Welford 1962). Values that are not finite are ignored.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sample {
    count: u32,
    mean: f64,
    /// Sum of the squared deviations from the mean.
    squares: f64,
}

impl Sample {
    /// Adds a value.
    pub fn push(&mut self, value: f64) {
        if value.is_finite() && self.count < u32::MAX {
            self.count += 1;
            let away = value - self.mean;
            self.mean += away / f64::from(self.count);
            self.squares += away * (value - self.mean);
        }
    }

    /// Adds all values of another sample (Chan, Golub and LeVeque 1979).
    pub fn absorb(&mut self, other: &Self) {
        let Some(both) = self.count.checked_add(other.count).filter(|both| *both > 0) else {
            return;
        };
        let part = f64::from(other.count) / f64::from(both);
        let away = other.mean - self.mean;
        self.mean += away * part;
        self.squares += other.squares + away * away * f64::from(self.count) * part;
        self.count = both;
    }

    /// Count, mean and sum of squared deviations, for storage.
    pub(crate) fn parts(&self) -> (u32, f64, f64) {
        (self.count, self.mean, self.squares)
    }

    /// The inverse of [`Sample::parts`]; an empty sample if no sample has such parts.
    pub(crate) fn of_parts((count, mean, squares): (u32, f64, f64)) -> Self {
        let can_be = count > 0 && mean.is_finite() && squares.is_finite() && squares >= 0.0;
        if can_be { Self { count, mean, squares } } else { Self::default() }
    }

    /// Number of values.
    pub fn count(&self) -> u32 {
        self.count
    }

    /// The mean; `None` without values.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then_some(self.mean)
    }

    /// The standard deviation, with divisor n − 1; `None` for fewer than two values.
    pub fn sd(&self) -> Option<f64> {
        let degrees = self.count.checked_sub(1).filter(|d| *d > 0)?;
        Some((self.squares.max(0.0) / f64::from(degrees)).sqrt())
    }

    /// The 95 % interval of the mean by Student's t; `None` for fewer than two values. It assumes
    /// independent values; neighbouring notes are correlated, so it tends to be too narrow.
    pub fn interval(&self) -> Option<(f64, f64)> {
        let standard_error = self.sd()? / f64::from(self.count).sqrt();
        let reach = mean_reach(self.count.checked_sub(1)?)? * standard_error;
        Some((self.mean - reach, self.mean + reach))
    }

    /// [`Sample::interval`]; `None` also if all values are equal.
    pub fn shown_interval(&self) -> Option<(f64, f64)> {
        self.interval().filter(|_| self.scatters())
    }

    /// The 95 % interval of the standard deviation by the chi-squared distribution; `None` for fewer
    /// than two values, and if all are equal. It assumes independent, normally distributed values.
    pub fn sd_interval(&self) -> Option<(f64, f64)> {
        let sd = self.sd().filter(|_| self.scatters())?;
        let (lower, upper) = sd_factors(self.count.checked_sub(1)?)?;
        Some((sd * lower, sd * upper))
    }

    /// Whether values differ by more than rounding.
    fn scatters(&self) -> bool {
        self.sd().is_some_and(|sd| sd > 1e-9 * self.mean.abs().max(1.0))
    }
}

/// As `{count, mean, sd, low, high, sd_low, sd_high}`, with the 95 % intervals of the mean and of the
/// standard deviation; null if there are too few values.
impl Serialize for Sample {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut fields = serializer.serialize_struct("Sample", 7)?;
        fields.serialize_field("count", &self.count)?;
        fields.serialize_field("mean", &self.mean())?;
        fields.serialize_field("sd", &self.sd())?;
        let (low, high) = self.shown_interval().unzip();
        fields.serialize_field("low", &low)?;
        fields.serialize_field("high", &high)?;
        let (sd_low, sd_high) = self.sd_interval().unzip();
        fields.serialize_field("sd_low", &sd_low)?;
        fields.serialize_field("sd_high", &sd_high)?;
        fields.end()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of(values: &[f64]) -> Sample {
        let mut sample = Sample::default();
        values.iter().for_each(|v| sample.push(*v));
        sample
    }

    #[test]
    fn too_few_say_nothing() {
        let none = Sample::default();
        assert_eq!((none.count(), none.mean(), none.sd(), none.interval()), (0, None, None, None));
        let one = of(&[3.0, f64::NAN]);
        assert_eq!((one.count(), one.mean(), one.sd()), (1, Some(3.0), None));
        assert_eq!((one.interval(), one.sd_interval()), (None, None));
    }

    /// Worked by hand: 2, 4, 4, 4, 5, 5, 7, 9 have mean 5 and squares 32; sd √(32/7); with
    /// t = 2.3646 of the table the interval reaches 1.7874. With 1.6899 and 16.0128 of the table of
    /// chi-squared the standard deviation lies between √(32/16.0128) and √(32/1.6899).
    #[test]
    fn a_small_sample() {
        let sample = of(&[2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0]);
        assert_eq!(sample.mean(), Some(5.0));
        assert!((sample.sd().unwrap() - (32.0_f64 / 7.0).sqrt()).abs() < 1e-12);
        let (low, high) = sample.interval().unwrap();
        assert!((low - 3.2126).abs() < 1e-4 && (high - 6.7874).abs() < 1e-4, "{low} {high}");
        let (low, high) = sample.sd_interval().unwrap();
        assert!((low - 1.4136).abs() < 1e-4 && (high - 4.3516).abs() < 2e-4, "{low} {high}");
    }

    proptest! {
        #[test]
        fn in_two_parts_as_in_one(
            a in prop::collection::vec(-100.0..100.0, 0..20),
            b in prop::collection::vec(-100.0..100.0, 0..20),
        ) {
            let mut parts = of(&a);
            parts.absorb(&of(&b));
            let whole = of(&[a, b].concat());
            prop_assert_eq!(parts.count(), whole.count());
            let near = |x: Option<f64>, y: Option<f64>| match (x, y) {
                (Some(x), Some(y)) => (x - y).abs() < 1e-9,
                (x, y) => x == y,
            };
            prop_assert!(near(parts.mean(), whole.mean()));
            prop_assert!(near(parts.sd(), whole.sd()));
        }
    }
}
