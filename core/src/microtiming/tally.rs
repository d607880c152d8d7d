//! The time feel of a take, phrase by phrase, at a cost that does not grow with the take.

use super::{Feel, read};
use crate::phrase::{AnalysisContext, Phrase};
use crate::stats::median_of;
use crate::stats::ranks::Ranks;

/// The time feel of the phrases so far.
#[derive(Debug, Clone, Default)]
pub struct FeelTally {
    /// All but the median ratio.
    feel: Feel,
    ratios: Ranks,
}

impl FeelTally {
    /// Counts the next phrase, read against `score`, and gives its feel.
    pub fn add(&mut self, phrase: &Phrase, score: AnalysisContext<'_>) -> Feel {
        let (feel, ratios) = read(phrase, score);
        self.feel.absorb(&feel);
        ratios.into_iter().for_each(|ratio| self.ratios.insert(ratio));
        feel
    }

    /// The feel of all of them.
    #[must_use]
    pub fn feel(&self) -> Feel {
        let mut feel = self.feel;
        feel.swing.median_log2_ratio = median_of(&self.ratios);
        feel
    }

    /// What the feel was if `phrases` came next.
    #[must_use]
    pub fn feel_with(&mut self, phrases: &[Phrase], score: AnalysisContext<'_>) -> Feel {
        let before = self.feel;
        let mut added = Vec::new();
        for phrase in phrases {
            let (feel, ratios) = read(phrase, score);
            self.feel.absorb(&feel);
            ratios.iter().for_each(|ratio| self.ratios.insert(*ratio));
            added.extend(ratios);
        }
        let feel = self.feel();
        self.feel = before;
        added.into_iter().for_each(|ratio| self.ratios.remove(ratio));
        feel
    }
}
