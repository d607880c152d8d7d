//! The time feel of a take, phrase by phrase, at a cost that does not grow with the take.

use super::onsets::onsets;
use super::own_timing::OwnTiming;
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
    timing: OwnTiming,
}

impl FeelTally {
    /// A tally that has counted nothing yet of these phrases, which are all of a take that is over.
    #[must_use]
    pub fn of_whole(phrases: &[Phrase], score: AnalysisContext<'_>) -> Self {
        Self { timing: OwnTiming::of_whole(phrases, score), ..Self::default() }
    }

    /// Counts the next phrase, read against `score`, and gives its feel.
    pub fn add(&mut self, phrase: &Phrase, score: AnalysisContext<'_>) -> Feel {
        self.count(phrase, score).0
    }

    fn count(&mut self, phrase: &Phrase, score: AnalysisContext<'_>) -> (Feel, Vec<f64>) {
        let onsets = onsets(phrase, score);
        let beats = self.timing.learn(&onsets);
        let (feel, ratios) = read(phrase, &onsets, &beats, score);
        self.feel.absorb(&feel);
        ratios.iter().for_each(|ratio| self.ratios.insert(*ratio));
        (feel, ratios)
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
        let before = (self.feel, self.timing);
        let added: Vec<f64> =
            phrases.iter().flat_map(|phrase| self.count(phrase, score).1).collect();
        let feel = self.feel();
        (self.feel, self.timing) = before;
        added.into_iter().for_each(|ratio| self.ratios.remove(ratio));
        feel
    }
}
