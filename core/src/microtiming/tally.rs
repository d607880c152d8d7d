//! Running time feel of a take: the cost of a phrase does not grow with the take.

use super::onsets::onsets;
use super::own_timing::OwnTiming;
use super::{TimeFeel, read};
use crate::phrase::{AnalysisContext, Phrase};
use crate::stats::median_of;
use crate::stats::ranks::Ranks;

/// The time feel of the phrases so far.
#[derive(Debug, Clone, Default)]
pub struct FeelTally {
    /// Without the median ratio.
    feel: TimeFeel,
    ratios: Ranks,
    timing: OwnTiming,
}

impl FeelTally {
    /// An empty tally with the timing learnt from `phrases`, those of a finished take.
    pub fn of_whole(phrases: &[Phrase], context: AnalysisContext<'_>) -> Self {
        Self { timing: OwnTiming::of_whole(phrases, context), ..Self::default() }
    }

    /// Adds the next phrase and returns its time feel.
    pub fn add(&mut self, phrase: &Phrase, context: AnalysisContext<'_>) -> TimeFeel {
        self.count(phrase, context).0
    }

    fn count(&mut self, phrase: &Phrase, context: AnalysisContext<'_>) -> (TimeFeel, Vec<f64>) {
        let onsets = onsets(phrase, context);
        let beats = self.timing.learn(&onsets);
        let (feel, ratios) = read(phrase, &onsets, &beats, context);
        self.feel.absorb(&feel);
        ratios.iter().for_each(|ratio| self.ratios.insert(*ratio));
        (feel, ratios)
    }

    /// The time feel so far.
    pub fn feel(&self) -> TimeFeel {
        let mut feel = self.feel;
        feel.swing.median_log2_ratio = median_of(&self.ratios);
        feel
    }

    /// What the time feel would be if `phrases` came next.
    pub fn feel_with(&mut self, phrases: &[Phrase], context: AnalysisContext<'_>) -> TimeFeel {
        let before = (self.feel, self.timing);
        let added: Vec<f64> =
            phrases.iter().flat_map(|phrase| self.count(phrase, context).1).collect();
        let feel = self.feel();
        (self.feel, self.timing) = before;
        added.into_iter().for_each(|ratio| self.ratios.remove(ratio));
        feel
    }
}
