//! The long line: at least one phrase of this many bars in each chorus.

use super::chorus::Chorus;
use super::take_so_far::TakeSoFar;
use crate::stats::Share;
use crate::time::Beat;
use serde::Serialize;

/// The result of a long-line goal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LongLineResult {
    /// The wanted length.
    pub wanted_bars: f64,
    /// Choruses with such a phrase.
    pub choruses: Share,
    /// Such phrases.
    pub phrases: u32,
    /// The longest phrase, in bars.
    pub longest_bars: f64,
}

/// A phrase may be this much shorter, in bars, because its last note is released early. Origin: half a
/// beat of four; common practice, no source.
const RELEASED_EARLY: f64 = 0.125;

impl LongLineResult {
    pub(super) fn of(
        wanted_bars: f64,
        chorus: &Chorus,
        follows: bool,
        so_far: &TakeSoFar<'_>,
    ) -> Self {
        let enough = wanted_bars - RELEASED_EARLY;
        let bars = |from: Beat, to: Beat| so_far.lines.bars_to(to) - so_far.lines.bars_to(from);
        let mut result =
            Self { wanted_bars, choruses: Share::default(), phrases: 0, longest_bars: 0.0 };
        for (_, phrase) in so_far.phrases_of(chorus, follows) {
            let length = bars(phrase.entry.beat, so_far.end_of(phrase));
            result.longest_bars = result.longest_bars.max(length);
            result.phrases = result.phrases.saturating_add(u32::from(length >= enough));
        }
        // A line from the chorus before may be long enough within this one.
        let led_in = so_far.phrases.iter().any(|phrase| {
            let end = so_far.end_of(phrase).earlier(chorus.end);
            phrase.entry.beat < chorus.start && bars(chorus.start, end) >= enough
        });
        result.choruses.add(result.phrases > 0 || led_in);
        result
    }

    pub(super) fn absorb(&mut self, next: &Self) {
        self.choruses.absorb(&next.choruses);
        self.phrases = self.phrases.saturating_add(next.phrases);
        self.longest_bars = self.longest_bars.max(next.longest_bars);
    }
}
