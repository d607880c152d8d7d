//! Phrase starts that a teacher or player set by hand. They are saved with the take and override the
//! segmenter.

use crate::time::Second;
use serde::{Deserialize, Serialize};

/// A correction applies to an onset within this distance, in seconds, because saved times are rounded.
/// Origin: a fifth of the shortest interval a hand can play, 15 ms; common practice, no source.
const SAME_ONSET: f64 = 0.003;

/// The correction of one onset.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct Correction {
    /// When the onset was played, on the take's clock.
    pub at: Second,
    /// Whether a phrase starts there.
    pub begins: bool,
    /// [`crate::take::settings::Settings::finer`] at the time: it tells which other starts the user saw, and
    /// did not correct, up to there.
    pub finer: f64,
}

/// The corrections of a take, in order of time.
#[derive(Debug, Clone, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Corrections {
    each: Vec<Correction>,
}

impl Corrections {
    /// All corrections, in order.
    pub fn all(&self) -> &[Correction] {
        &self.each
    }

    /// The correction of the onset at `at`, if there is one.
    pub fn at(&self, at: Second) -> Option<bool> {
        self.each.get(self.find(at)?).map(|correction| correction.begins)
    }

    /// The first correction of an onset from `first` to `last`.
    pub fn between(&self, first: Second, last: Second) -> Option<Correction> {
        self.from(first).filter(|correction| correction.at.0 <= last.0 + SAME_ONSET)
    }

    /// The first correction at or after `at`.
    pub fn from(&self, at: Second) -> Option<Correction> {
        let from = self.each.partition_point(|c| c.at.0 < at.0 - SAME_ONSET);
        self.each.get(from).copied()
    }

    /// Sets whether a phrase starts at the onset at `at`; `None` leaves it to the segmenter. `finer` is
    /// the current setting.
    pub fn set(&mut self, at: Second, begins: Option<bool>, finer: f64) {
        if !at.0.is_finite() {
            return;
        }
        if let Some(found) = self.find(at) {
            self.each.remove(found);
        }
        if let Some(begins) = begins {
            let index = self.each.partition_point(|c| c.at < at);
            self.each.insert(index, Correction { at, begins, finer });
        }
    }

    fn find(&self, at: Second) -> Option<usize> {
        let from = self.each.partition_point(|c| c.at.0 < at.0 - SAME_ONSET);
        self.each.get(from).filter(|c| c.at.0 <= at.0 + SAME_ONSET).map(|_| from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_correction_of_an_onset_counts() {
        let mut corrections = Corrections::default();
        corrections.set(Second(2.0), Some(true), 0.0);
        corrections.set(Second(1.0), Some(true), 0.0);
        corrections.set(Second(2.000_5), Some(false), 0.0);
        corrections.set(Second(f64::NAN), Some(true), 0.0);
        assert_eq!(corrections.all().len(), 2);
        assert!(corrections.all().is_sorted());
        assert_eq!(corrections.at(Second(2.0)), Some(false));
        assert_eq!(corrections.at(Second(1.004)), None, "another onset");
        corrections.set(Second(1.0), None, 0.0);
        assert_eq!(corrections.at(Second(1.0)), None);
    }
}
