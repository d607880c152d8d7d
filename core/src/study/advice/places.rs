//! The bars to listen to for a finding.

use super::measure::{CARRYING_BARS, ROOM_BEATS, UNEVEN_LOG2};
use super::measures::Measures;
use super::rules::RuleId;
use super::spans::{BarSpan, BarWindow, WINDOW_BARS, bar_windows, longest_runs};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::microtiming::TimeFeel;
use crate::phrase::Phrase;
use crate::quantization::PositionClass;

const MAX_SPANS: usize = 3;

/// Fewest notes on a beat, or pairs of eighths, for a phrase to show its timing. Origin: common
/// practice, no source.
const MIN_IN_PHRASE: u32 = 3;

/// The bars to listen to for a rule, in order: the longest runs of phrases or windows that match, or, for
/// timing, the phrases that show it most.
pub fn bars_to_listen_to(rule: RuleId, analysis: &TakeAnalysis) -> Vec<BarSpan> {
    let (phrases, alerts) = (analysis.phrases(), &analysis.settings().alerts);
    let each = |has: &dyn Fn(&Phrase) -> bool| {
        let matching: Vec<_> = phrases.iter().map(|p| has(p).then(|| span(p))).collect();
        longest_runs(&matching, MAX_SPANS)
    };
    let each_window = |has: &dyn Fn(&BarWindow) -> bool| {
        let all = bar_windows(phrases, WINDOW_BARS);
        let matching: Vec<_> = all.iter().map(|s| has(s).then_some(s.bars)).collect();
        longest_runs(&matching, MAX_SPANS)
    };
    let greatest = |of: &dyn Fn(&TimeFeel) -> Option<f64>| {
        let feel = analysis.phrase_feel();
        let with_value = phrases.iter().zip(&feel.phrases);
        let mut found: Vec<(f64, BarSpan)> =
            with_value.filter_map(|(p, feel)| Some((of(feel)?, span(p)))).collect();
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        found.truncate(MAX_SPANS);
        let mut spans: Vec<BarSpan> = found.into_iter().map(|(_, span)| span).collect();
        spans.sort_unstable();
        spans
    };
    let lag = |feel: &TimeFeel| {
        let lag = feel.lag.on_beat_ms;
        lag.mean().filter(|_| lag.count() >= MIN_IN_PHRASE)
    };
    match rule {
        RuleId::BeatOne => each(&|p| p.entry.class == PositionClass::One),
        RuleId::OnePlace => {
            let most = Measures::of(analysis).most_frequent_entry();
            let place = most.map(|entry| (entry.pulse, entry.class));
            each(&|p| Some((p.entry.pulse, p.entry.class)) == place)
        }
        RuleId::StopsAtBarLine => each(&|p| p.bars >= CARRYING_BARS && !p.crosses_bar_line()),
        RuleId::ShortPhrases => each(&|p| p.bars < alerts.short_phrase_bars),
        RuleId::NoLongLine => each_window(&|s| s.longest_phrase_bars < alerts.long_line_bars),
        RuleId::NoRoom => each_window(&|s| s.longest_rest.0 < ROOM_BEATS),
        RuleId::EndsOnBeat => each(&|p| !p.exit.class.is_off_beat()),
        RuleId::Drags => greatest(&lag),
        RuleId::Rushes => greatest(&|feel| lag(feel).map(|lag| -lag)),
        RuleId::UnevenEighths => greatest(&|feel| {
            let ratio = feel.swing.log2_ratio;
            let spread = ratio.sd().filter(|_| ratio.count() >= MIN_IN_PHRASE);
            spread.filter(|sd| *sd > UNEVEN_LOG2 / 2.0)
        }),
    }
}

fn span(phrase: &Phrase) -> BarSpan {
    BarSpan { from: phrase.entry.bar, to: phrase.exit.bar.max(phrase.entry.bar) }
}
