//! Calibration of the boundary probabilities.

use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};

/// Bins of equal width from 0 to 1.
const BINS: usize = 15;

/// Counts by probability.
#[derive(Debug, Default)]
pub struct Calibration {
    bins: [Bin; BINS],
    /// Onsets with probability 0: no rest before them, so never a boundary.
    ruled_out: Bin,
}

/// The number of onsets, the sum of their probabilities, and how many begin a phrase.
#[derive(Debug, Default, Clone, Copy, Serialize)]
struct Bin {
    count: f64,
    said: f64,
    came: f64,
}

impl Bin {
    fn error(&self) -> f64 {
        (self.said - self.came).abs()
    }
}

impl Calibration {
    /// Adds a probability and whether it came true.
    pub fn add(&mut self, probability: f64, came_true: bool) {
        let bin = if probability == 0.0 {
            Some(&mut self.ruled_out)
        } else {
            self.bins.get_mut(((probability * BINS as f64) as usize).min(BINS - 1))
        };
        if let Some(bin) = bin {
            bin.count += 1.0;
            bin.said += probability;
            bin.came += f64::from(u8::from(came_true));
        }
    }

    /// Expected calibration error over all onsets (Naeini, Cooper and Hauskrecht 2015).
    pub fn error(&self) -> f64 {
        share(self.bins.iter().chain([&self.ruled_out]))
    }

    /// The same over the onsets that were not ruled out: a stricter figure, because most onsets are obviously
    /// not a boundary.
    pub fn error_of_rests(&self) -> f64 {
        share(self.bins.iter())
    }
}

impl Serialize for Calibration {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut fields = serializer.serialize_struct("Calibration", 4)?;
        fields.serialize_field("error", &self.error())?;
        fields.serialize_field("error_of_rests", &self.error_of_rests())?;
        fields.serialize_field("ruled_out", &self.ruled_out)?;
        fields.serialize_field("bins", &self.bins)?;
        fields.end()
    }
}

fn share<'a>(bins: impl Iterator<Item = &'a Bin> + Clone) -> f64 {
    let count: f64 = bins.clone().map(|b| b.count).sum();
    let error: f64 = bins.map(Bin::error).sum();
    if count > 0.0 { error / count } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::Calibration;

    #[test]
    fn errors_counted_by_hand() {
        let mut calibration = Calibration::default();
        for came in [true, true, true, false] {
            calibration.add(0.5, came);
        }
        for _ in 0..4 {
            calibration.add(0.0, false);
        }
        // Four had a sum of 2 and 3 came true: 1 of 4, and 1 of all 8.
        assert_eq!((calibration.error_of_rests(), calibration.error()), (0.25, 0.125));
        assert_eq!(Calibration::default().error(), 0.0);
    }
}
