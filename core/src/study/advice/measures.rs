//! What advice and progress are read from: counts of a take that can be added up over takes.

use super::spans::{STRETCH_BARS, stretches};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::figures::EntryCount;
use crate::microtiming::onsets::{Onset, onsets};
use crate::microtiming::swing;
use crate::phrase::Phrase;
use crate::quantization::PositionClass;
use crate::settings::Settings;
use crate::stats::sample::Sample;
use crate::stats::{Share, median};
use crate::take::performance::Performance;
use crate::time::metre::Metre;
use serde::Serialize;

/// A figure that advice and progress speak about. All but the last are shares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Phrases that come in on beat one.
    BeatOneEntries,
    /// Phrases that come in at the place where most do: one pulse and class.
    OnePlaceEntries,
    /// Phrases shorter than [`crate::settings::AlertSettings::short_phrase_bars`].
    ShortPhrases,
    /// Stretches of [`STRETCH_BARS`] bars that a phrase of
    /// [`crate::settings::AlertSettings::long_line_bars`] or longer runs through or into.
    LongLines,
    /// Phrases that carry on over a bar line, of those of [`CARRYING_BARS`] or longer.
    OverTheBar,
    /// Stretches of [`STRETCH_BARS`] bars that have a rest of [`ROOM_BEATS`] or longer.
    Room,
    /// Phrases that end on a beat.
    OnBeatExits,
    /// Pairs of eighths whose ratio is farther than [`UNEVEN_LOG2`] from the take's own median.
    UnevenEighths,
    /// How late notes on a beat are, in milliseconds, against [`super::usual_lag::usual_lag_ms`].
    Lag,
}

impl Measure {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::BeatOneEntries,
        Self::OnePlaceEntries,
        Self::ShortPhrases,
        Self::LongLines,
        Self::OverTheBar,
        Self::Room,
        Self::OnBeatExits,
        Self::UnevenEighths,
        Self::Lag,
    ];

    /// What it counts, in words that follow a share.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::BeatOneEntries => "phrases that come in on beat one",
            Self::OnePlaceEntries => "phrases that come in at their most frequent place",
            Self::ShortPhrases => "phrases under a bar",
            Self::LongLines => "four-bar stretches with some of a line of two bars or more",
            Self::OverTheBar => "phrases of half a bar or more that cross a bar line",
            Self::Room => "four-bar stretches with some of a rest of a beat or more",
            Self::OnBeatExits => "phrases that end on a beat",
            Self::UnevenEighths => "eighth pairs far from the usual ratio of the take",
            Self::Lag => "lateness on the beat, against what is usual at the tempo",
        }
    }
}

/// A phrase has to be this long, in bars, to be asked whether it crosses a bar line. Origin:
/// common practice, no source; one of half a bar has an even chance.
pub const CARRYING_BARS: f64 = 0.5;

/// A rest as long as this, in quarter notes, is room. Origin: four in five rests between phrases
/// are as long (Weimar Jazz Database; Pfleiderer and others 2017: lower quartile 1.18).
pub const ROOM_BEATS: f64 = 1.0;

/// A pair of eighths this far from the median, in octaves of the ratio, is uneven: √2 times as
/// long or as short. Origin: the ratio from which eighths are called swung (Corcoran and Frieler
/// 2021: 1.41).
pub const UNEVEN_LOG2: f64 = 0.5;

/// The counts of a take, or of several added up.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Measures {
    /// Some of it is not in four quarters: what recorded solos do says nothing about that.
    pub other_metre: bool,
    /// Phrases by where they came in.
    pub entries: Vec<EntryCount>,
    /// Phrases on beat one.
    pub beat_one_entries: Share,
    /// Short phrases.
    pub short_phrases: Share,
    /// The same of the first half of a take's phrases and of the second.
    pub short_by_half: [Share; 2],
    /// Stretches with some of a long line.
    pub long_lines: Share,
    /// Phrases over a bar line.
    pub over_the_bar: Share,
    /// Stretches with room.
    pub room: Share,
    /// Phrases that end on a beat.
    pub on_beat_exits: Share,
    /// Uneven pairs of eighths.
    pub uneven_eighths: Share,
    /// How late notes on a beat are, in milliseconds.
    pub lag_ms: Sample,
    /// The same, less what is usual at their tempo.
    pub lag_from_usual_ms: Sample,
}

impl Measures {
    /// The counts of a take. Its first phrase and its last are counted like the others.
    #[must_use]
    pub fn of(analysis: &TakeAnalysis) -> Self {
        let (phrases, settings) = (analysis.phrases(), analysis.settings());
        let score = analysis.context();
        let mut all = Self { other_metre: has_other_metre(analysis.take()), ..Self::default() };
        let mut ratios = Vec::new();
        for (index, phrase) in phrases.iter().enumerate() {
            all.count(phrase, index >= phrases.len().div_ceil(2), settings);
            let onsets = onsets(phrase, score);
            onsets.iter().for_each(|onset| all.time(onset));
            ratios.extend(swing::log2_ratios(&onsets));
        }
        let middle = median(&mut ratios);
        for ratio in &ratios {
            all.uneven_eighths.add(middle.is_some_and(|m| (ratio - m).abs() > UNEVEN_LOG2));
        }
        for stretch in stretches(phrases, STRETCH_BARS) {
            all.room.add(stretch.longest_rest.0 >= ROOM_BEATS);
            all.long_lines.add(stretch.longest_phrase_bars >= settings.alerts.long_line_bars);
        }
        all
    }

    fn count(&mut self, phrase: &Phrase, second_half: bool, settings: &Settings) {
        let alerts = &settings.alerts;
        let (pulse, class) = (phrase.entry.pulse, phrase.entry.class);
        self.absorb_entry(&EntryCount { pulse, class, count: 1 });
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

    fn time(&mut self, onset: &Onset) {
        if let Some(late) = onset.place.lag(onset.tempo) {
            let late = late.0 * 1e3;
            self.lag_ms.push(late);
            self.lag_from_usual_ms.push(late - super::usual_lag::usual_lag_ms(onset.tempo));
        }
    }

    pub(super) fn absorb_entry(&mut self, entry: &EntryCount) {
        let place = (entry.pulse, entry.class);
        match self.entries.binary_search_by_key(&place, |e| (e.pulse, e.class)) {
            Ok(found) => {
                if let Some(own) = self.entries.get_mut(found) {
                    own.count = own.count.saturating_add(entry.count);
                }
            }
            Err(gap) => self.entries.insert(gap, *entry),
        }
    }

    /// Takes in the counts of another take.
    pub fn absorb(&mut self, other: &Self) {
        self.other_metre |= other.other_metre;
        other.entries.iter().for_each(|entry| self.absorb_entry(entry));
        for (own, others) in [
            (&mut self.beat_one_entries, &other.beat_one_entries),
            (&mut self.short_phrases, &other.short_phrases),
            (&mut self.long_lines, &other.long_lines),
            (&mut self.over_the_bar, &other.over_the_bar),
            (&mut self.room, &other.room),
            (&mut self.on_beat_exits, &other.on_beat_exits),
            (&mut self.uneven_eighths, &other.uneven_eighths),
        ] {
            own.absorb(others);
        }
        for (own, others) in self.short_by_half.iter_mut().zip(&other.short_by_half) {
            own.absorb(others);
        }
        self.lag_ms.absorb(&other.lag_ms);
        self.lag_from_usual_ms.absorb(&other.lag_from_usual_ms);
    }

    /// The place at which most phrases came in; of several the first of the bar.
    #[must_use]
    pub fn most_frequent_entry(&self) -> Option<EntryCount> {
        let most = self.entries.iter().map(|entry| entry.count).max()?;
        self.entries.iter().find(|entry| entry.count == most).copied()
    }

    /// A share; `None` of the lag, which is none.
    #[must_use]
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

    /// How many were counted for a measure.
    #[must_use]
    pub fn count_of(&self, measure: Measure) -> u32 {
        self.share(measure).map_or(self.lag_from_usual_ms.count(), |share| share.of)
    }

    /// The value of a measure: a share from 0 to 1, or milliseconds; `None` of nothing.
    #[must_use]
    pub fn value(&self, measure: Measure) -> Option<f64> {
        self.share(measure).map_or(self.lag_from_usual_ms.mean(), |share| share.share())
    }

    /// Its 95 % interval; `None` of too little.
    #[must_use]
    pub fn interval(&self, measure: Measure) -> Option<(f64, f64)> {
        self.share(measure).map_or(self.lag_from_usual_ms.interval(), |share| share.interval())
    }
}

/// Whether a metre other than four quarters holds anywhere from the first attack to the last.
fn has_other_metre(performance: &Performance) -> bool {
    let notes = performance.heard.notes();
    let (Some(first), Some(last)) = (notes.first(), notes.last()) else { return false };
    let metres = &performance.metres;
    let inside = |start| start > first.on.beat && start <= last.on.beat;
    metres.metre_at(first.on.beat) != Metre::COMMON
        || metres.stretches().iter().any(|s| inside(s.start) && s.metre != Metre::COMMON)
}
