//! Windows of bars, and the phrases and rests in them.

use crate::phrase::Phrase;
use crate::time::BeatSpan;
use serde::Serialize;

/// Bars in a window. Origin: the four-bar phrase of song forms; common practice, no source.
pub const WINDOW_BARS: u32 = 4;

/// Most windows of a song. Origin: a day of 4/4 bars at 280 BPM.
const MAX_WINDOWS: usize = 25_200;

/// Bars to listen to, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct BarSpan {
    /// The first.
    pub from: i64,
    /// The last.
    pub to: i64,
}

impl core::fmt::Display for BarSpan {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let Self { from, to } = self;
        if from == to { write!(f, "{from}") } else { write!(f, "{from} to {to}") }
    }
}

/// A window of bars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarWindow {
    /// Its bars.
    pub bars: BarSpan,
    /// The whole length of the longest rest that overlaps it.
    pub longest_rest: BeatSpan,
    /// The whole length, in bars, of the longest phrase that overlaps it.
    pub longest_phrase_bars: f64,
}

/// The complete windows of `bars` bars from the bar of the first start to that of the last ending. All bars
/// are taken to be as long as the first.
pub fn bar_windows(phrases: &[Phrase], bars: u32) -> Vec<BarWindow> {
    let (Some(first), Some(last)) = (phrases.first(), phrases.last()) else { return Vec::new() };
    let length = first.entry.bar_length.0 * f64::from(bars);
    let end = (last.exit.bar_start + last.exit.bar_length).0;
    let (mut from, mut bar) = (first.entry.bar_start.0, first.entry.bar);
    let mut phrases_left = phrases;
    let mut found = Vec::new();
    // Tolerates rounding: starts of bars are sums.
    while length > 0.0 && from + length <= end + 1e-6 && found.len() < MAX_WINDOWS {
        let to = from + length;
        let over = phrases_left.partition_point(|p| (p.entry.beat + p.beats).0 <= from);
        phrases_left = phrases_left.get(over..).unwrap_or_default();
        let mut window = BarWindow {
            bars: BarSpan { from: bar, to: bar.saturating_add(i64::from(bars) - 1) },
            longest_rest: BeatSpan(0.0),
            longest_phrase_bars: 0.0,
        };
        for phrase in phrases_left {
            let rest = phrase.rest_before.map_or(BeatSpan(0.0), |rest| rest.beats);
            let overlaps = phrase.entry.beat.0 > from && (phrase.entry.beat - rest).0 < to;
            if overlaps && rest.0 > window.longest_rest.0 {
                window.longest_rest = rest;
            }
            if phrase.entry.beat.0 >= to {
                break;
            }
            window.longest_phrase_bars = window.longest_phrase_bars.max(phrase.bars);
        }
        (from, bar) = (to, window.bars.to.saturating_add(1));
        found.push(window);
    }
    found
}

/// The longest runs of `Some` in `matching`, at most `limit`, in order.
pub fn longest_runs(matching: &[Option<BarSpan>], limit: usize) -> Vec<BarSpan> {
    let mut runs: Vec<(usize, BarSpan)> = matching
        .chunk_by(|a, b| a.is_some() == b.is_some())
        .filter_map(|run| {
            let (first, last) = (run.first()?.as_ref()?, run.last()?.as_ref()?);
            Some((run.len(), BarSpan { from: first.from, to: last.to }))
        })
        .collect();
    runs.sort_by_key(|(length, span)| (core::cmp::Reverse(*length), span.from));
    runs.truncate(limit);
    let mut spans: Vec<BarSpan> = runs.into_iter().map(|(_, span)| span).collect();
    spans.sort_unstable();
    spans
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::advice::tests::heard;

    #[test]
    fn a_window_has_the_rests_and_phrases_that_overlap_it() {
        // Beats 0 to 20, then a rest of two, then 22 to 24. The last ending is in bar 6, so the only complete
        // window is bars 1 to 4.
        let take = heard(120.0, &[(0.0, 40), (22.0, 4)]);
        let found = bar_windows(take.phrases(), 2);
        let figures: Vec<_> = found
            .iter()
            .map(|s| {
                (s.bars.from, s.bars.to, s.longest_rest.0.round(), s.longest_phrase_bars.round())
            })
            .collect();
        assert_eq!(figures, [(1, 2, 0.0, 5.0), (3, 4, 0.0, 5.0), (5, 6, 2.0, 5.0)]);
        assert_eq!(bar_windows(take.phrases(), 4).len(), 1);
        assert_eq!(bar_windows(&[], 4), []);
    }

    #[test]
    fn the_longest_runs_in_order() {
        let bar = |bar| Some(BarSpan { from: bar, to: bar });
        let runs = longest_runs(&[bar(1), None, bar(3), bar(4), None, bar(6), bar(7), bar(9)], 2);
        assert_eq!(runs, [BarSpan { from: 3, to: 4 }, BarSpan { from: 6, to: 9 }]);
        assert_eq!(longest_runs(&[None], 3), []);
    }
}
