//! The long line: at least one phrase of so many bars in each chorus.

use super::chorus::Chorus;
use super::take_so_far::TakeSoFar;
use crate::stats::Share;
use crate::time::Beat;
use serde::Serialize;

/// What was heard of long lines.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LongLineResult {
    /// The bars asked for.
    pub wanted_bars: f64,
    /// Choruses with such a phrase, of those heard.
    pub choruses: Share,
    /// Phrases as long as that.
    pub phrases: u32,
    /// The longest phrase, in bars.
    pub longest_bars: f64,
}

/// A phrase may be this much shorter, in bars: its last note is let go early. Origin: half a beat
/// in four, common practice, no source.
const LET_GO_EARLY: f64 = 0.125;

impl LongLineResult {
    pub(super) fn of(
        wanted_bars: f64,
        chorus: &Chorus,
        follows: bool,
        heard: &TakeSoFar<'_>,
    ) -> Self {
        let enough = wanted_bars - LET_GO_EARLY;
        let bars = |from: Beat, to: Beat| heard.lines.bars_to(to) - heard.lines.bars_to(from);
        let mut result =
            Self { wanted_bars, choruses: Share::default(), phrases: 0, longest_bars: 0.0 };
        for (_, phrase) in heard.phrases_of(chorus, follows) {
            let length = bars(phrase.entry.beat, heard.end_of(phrase));
            result.longest_bars = result.longest_bars.max(length);
            result.phrases = result.phrases.saturating_add(u32::from(length >= enough));
        }
        // A line from the chorus before may be long enough in this one.
        let led_in = heard.phrases.iter().any(|phrase| {
            let end = heard.end_of(phrase).earlier(chorus.end);
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
