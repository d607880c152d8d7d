//! The counts behind advice and progress, which add up over takes.

use super::measure::{CARRYING_BARS, Measure, ROOM_BEATS, UNEVEN_LOG2};
use super::spans::{WINDOW_BARS, bar_windows};
use super::usual_lag::usual_lag_ms;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::microtiming::onsets::{Onset, onsets};
use crate::microtiming::own_timing::OwnTiming;
use crate::microtiming::swing;
use crate::phrase::Phrase;
use crate::phrase::figures::EntryCount;
use crate::quantization::PositionClass;
use crate::stats::sample::Sample;
use crate::stats::{Share, median};
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::time::Beat;
use crate::time::metre::Metre;
use serde::Serialize;

/// The counts of a take, or of several added up.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Measures {
    /// Some of it is not in 4/4, for which there is no norm.
    pub other_metre: bool,
    /// Takes whose bars and positions are approximate.
    pub approximate: u32,
    /// Phrases by where they start.
    pub entries: Vec<EntryCount>,
    /// Phrases on beat one.
    pub beat_one_entries: Share,
    /// Short phrases.
    pub short_phrases: Share,
    /// Short phrases in each half of a take.
    pub short_by_half: [Share; 2],
    /// Windows with part of a long line.
    pub long_lines: Share,
    /// Phrases that cross a bar line.
    pub over_the_bar: Share,
    /// Windows with space.
    pub room: Share,
    /// Phrases that end on a beat.
    pub on_beat_exits: Share,
    /// Uneven pairs of eighths.
    pub uneven_eighths: Share,
    /// Lag of notes on a beat, in milliseconds.
    pub lag_ms: Sample,
    /// That lag minus the usual one at the tempo.
    pub lag_from_usual_ms: Sample,
}

impl Measures {
    /// The counts of a take. Its first phrase and its last are counted like the others.
    pub fn of(analysis: &TakeAnalysis) -> Self {
        let (phrases, settings) = (analysis.phrases(), analysis.settings());
        let context = analysis.context();
        let take = analysis.take();
        let mut all = Self {
            other_metre: has_other_metre(take),
            approximate: u32::from(take.approximate().is_anywhere()),
            ..Self::default()
        };
        let mut ratios = Vec::new();
        let mut timing = OwnTiming::of_whole(phrases, context);
        for (index, phrase) in phrases.iter().enumerate() {
            all.count(phrase, index >= phrases.len().div_ceil(2), settings);
            let onsets = onsets(phrase, context);
            let beats = timing.learn(&onsets);
            onsets.iter().zip(&beats).for_each(|(onset, beat)| all.time(onset, *beat));
            ratios.extend(swing::log2_ratios(&onsets, &beats));
        }
        let middle = median(&mut ratios);
        for ratio in &ratios {
            all.uneven_eighths.add(middle.is_some_and(|m| (ratio - m).abs() > UNEVEN_LOG2));
        }
        for window in bar_windows(phrases, WINDOW_BARS) {
            all.room.add(window.longest_rest.0 >= ROOM_BEATS);
            all.long_lines.add(window.longest_phrase_bars >= settings.alerts.long_line_bars);
        }
        all
    }

    fn count(&mut self, phrase: &Phrase, second_half: bool, settings: &Settings) {
        let alerts = &settings.alerts;
        let (pulse, class) = (phrase.entry.pulse, phrase.entry.class);
        EntryCount { pulse, class, count: 1 }.add_to(&mut self.entries);
        self.beat_one_entries.add(class == PositionClass::One);
        let short = phrase.bars < alerts.short_phrase_bars;
        self.short_phrases.add(short);
        let [first, second] = &mut self.short_by_half;
        if second_half {
            second.add(short)
        } else {
            first.add(short)
        }
        if phrase.bars >= CARRYING_BARS {
            self.over_the_bar.add(phrase.crosses_bar_line());
        }
        self.on_beat_exits.add(!phrase.exit.class.is_off_beat());
    }

    fn time(&mut self, onset: &Onset, beat: Option<Beat>) {
        if let Some(beat) = beat {
            let late = onset.late_for(beat).0 * 1e3;
            self.lag_ms.push(late);
            self.lag_from_usual_ms.push(late - usual_lag_ms(onset.tempo));
        }
    }

    /// All shares, in the order in which they are stored.
    pub(super) fn shares(&self) -> [Share; 9] {
        self.clone().shares_mut().map(|share| *share)
    }

    /// All shares, mutably.
    pub(super) fn shares_mut(&mut self) -> [&mut Share; 9] {
        let [first_half, second_half] = &mut self.short_by_half;
        [
            &mut self.beat_one_entries,
            &mut self.short_phrases,
            first_half,
            second_half,
            &mut self.long_lines,
            &mut self.over_the_bar,
            &mut self.room,
            &mut self.on_beat_exits,
            &mut self.uneven_eighths,
        ]
    }

    /// Adds the counts of another take.
    pub fn absorb(&mut self, other: &Self) {
        self.other_metre |= other.other_metre;
        self.approximate = self.approximate.saturating_add(other.approximate);
        other.entries.iter().for_each(|entry| entry.add_to(&mut self.entries));
        for (own, other) in self.shares_mut().into_iter().zip(other.shares()) {
            own.absorb(&other);
        }
        self.lag_ms.absorb(&other.lag_ms);
        self.lag_from_usual_ms.absorb(&other.lag_from_usual_ms);
    }

    /// The most frequent position of phrase starts; of several the first in the bar.
    pub fn most_frequent_entry(&self) -> Option<EntryCount> {
        let most = self.entries.iter().map(|entry| entry.count).max()?;
        self.entries.iter().find(|entry| entry.count == most).copied()
    }

    /// A share; `None` for the lag.
    pub fn share(&self, measure: Measure) -> Option<Share> {
        Some(match measure {
            Measure::BeatOneEntries => self.beat_one_entries,
            Measure::OnePlaceEntries => {
                let count = self.most_frequent_entry().map_or(0, |entry| entry.count);
                Share { count, of: self.beat_one_entries.of }
            }
            Measure::ShortPhrases => self.short_phrases,
            Measure::LongLines => self.long_lines,
            Measure::OverTheBar => self.over_the_bar,
            Measure::Room => self.room,
            Measure::OnBeatExits => self.on_beat_exits,
            Measure::UnevenEighths => self.uneven_eighths,
            Measure::Lag => return None,
        })
    }

    /// The count behind a measure.
    pub fn count_of(&self, measure: Measure) -> u32 {
        self.share(measure).map_or(self.lag_from_usual_ms.count(), |share| share.of)
    }

    /// The value of a measure: a share from 0 to 1, or milliseconds.
    pub fn value(&self, measure: Measure) -> Option<f64> {
        self.share(measure).map_or(self.lag_from_usual_ms.mean(), |share| share.share())
    }

    /// Its 95 % interval; `None` if too few were counted.
    pub fn interval(&self, measure: Measure) -> Option<(f64, f64)> {
        self.share(measure).map_or(self.lag_from_usual_ms.interval(), |share| share.interval())
    }
}

/// Whether any note from the first to the last is in a metre other than 4/4.
fn has_other_metre(performance: &Performance) -> bool {
    let notes = performance.soloist.notes();
    let (Some(first), Some(last)) = (notes.first(), notes.last()) else { return false };
    let metres = &performance.metres;
    let inside = |start| start > first.on.beat && start <= last.on.beat;
    metres.metre_at(first.on.beat) != Metre::COMMON
        || metres.stretches().iter().any(|s| inside(s.start) && s.metre != Metre::COMMON)
}
