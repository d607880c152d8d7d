//! Boundaries that a teacher or player has set by hand. They are kept with the take, and stand
//! whatever the ear hears.

use crate::time::Second;
use serde::{Deserialize, Serialize};

/// A correction is of the onset that is no farther from it than this, in seconds: saved times
/// are rounded. Origin: a fifth of the shortest step between two onsets that a hand can play,
/// 15 ms; common practice, no source.
const SAME_ONSET: f64 = 0.003;

/// What was said of one onset.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct Correction {
    /// When the onset was played, in seconds of the take's own clock.
    pub at: Second,
    /// A phrase begins there, or does not.
    pub begins: bool,
    /// [`crate::settings::Settings::finer`] when it was said: it tells what else was seen, and
    /// left alone, up to there.
    pub finer: f64,
}

/// The corrections of a take, in order of time.
#[derive(Debug, Clone, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Corrections {
    each: Vec<Correction>,
}

impl Corrections {
    /// All of them, in order.
    #[must_use]
    pub fn all(&self) -> &[Correction] {
        &self.each
    }

    /// What was said of the onset at `at`, if anything.
    #[must_use]
    pub fn at(&self, at: Second) -> Option<bool> {
        self.each.get(self.find(at)?).map(|correction| correction.begins)
    }

    /// The first correction of a note struck from `first` to `last`.
    #[must_use]
    pub fn between(&self, first: Second, last: Second) -> Option<Correction> {
        self.from(first).filter(|correction| correction.at.0 <= last.0 + SAME_ONSET)
    }

    /// The first correction that is not before `at`, if there is one.
    #[must_use]
    pub fn from(&self, at: Second) -> Option<Correction> {
        let from = self.each.partition_point(|c| c.at.0 < at.0 - SAME_ONSET);
        self.each.get(from).copied()
    }

    /// Says whether a phrase begins at the onset at `at`, while `finer` is in force; `None`
    /// leaves that to the ear.
    pub fn set(&mut self, at: Second, begins: Option<bool>, finer: f64) {
        if !at.0.is_finite() {
            return;
        }
        if let Some(found) = self.find(at) {
            self.each.remove(found);
        }
        if let Some(begins) = begins {
            let place = self.each.partition_point(|c| c.at < at);
            self.each.insert(place, Correction { at, begins, finer });
        }
    }

    /// Whether they are in order and of moments that can be.
    #[must_use]
    pub fn are_sound(&self) -> bool {
        self.each.iter().all(|c| c.at.0.is_finite() && c.finer.is_finite())
            && self.each.is_sorted_by(|a, b| a.at < b.at)
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
    fn the_last_word_on_an_onset_counts() {
        let mut corrections = Corrections::default();
        corrections.set(Second(2.0), Some(true), 0.0);
        corrections.set(Second(1.0), Some(true), 0.0);
        corrections.set(Second(2.000_5), Some(false), 0.0);
        corrections.set(Second(f64::NAN), Some(true), 0.0);
        assert_eq!(corrections.all().len(), 2);
        assert!(corrections.are_sound());
        assert_eq!(corrections.at(Second(2.0)), Some(false));
        assert_eq!(corrections.at(Second(1.004)), None, "another onset");
        corrections.set(Second(1.0), None, 0.0);
        assert_eq!(corrections.at(Second(1.0)), None);
    }
}
