//! The figures that advice and progress speak about.

use serde::Serialize;

/// A figure of advice and progress. All but the last are shares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Phrases that start on beat one.
    BeatOneEntries,
    /// Phrases that start at the most frequent position: one pulse and class.
    OnePlaceEntries,
    /// Phrases shorter than [`crate::take::settings::AlertSettings::short_phrase_bars`].
    ShortPhrases,
    /// Windows of `super::spans::WINDOW_BARS` bars that contain part of a phrase of
    /// [`crate::take::settings::AlertSettings::long_line_bars`] or longer.
    LongLines,
    /// Phrases that cross a bar line, of those of [`CARRYING_BARS`] or longer.
    OverTheBar,
    /// Windows of `super::spans::WINDOW_BARS` bars with a rest of [`ROOM_BEATS`] or longer.
    Room,
    /// Phrases that end on a beat.
    OnBeatExits,
    /// Pairs of eighths with a ratio further than [`UNEVEN_LOG2`] from the take's median.
    UnevenEighths,
    /// How late notes on a beat are, in milliseconds, against `super::usual_lag::usual_lag_ms`.
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

    /// What it counts, as a label.
    pub fn words(self) -> &'static str {
        match self {
            Self::BeatOneEntries => "phrases that start on beat one",
            Self::OnePlaceEntries => "phrases that start at the most common position",
            Self::ShortPhrases => "phrases shorter than a bar",
            Self::LongLines => "four-bar spans that contain part of a phrase of 2 bars or more",
            Self::OverTheBar => "phrases of half a bar or more that cross a bar line",
            Self::Room => "four-bar spans with a rest of a beat or more",
            Self::OnBeatExits => "phrases that end on a beat",
            Self::UnevenEighths => "eighth pairs that stray from the usual swing ratio",
            Self::Lag => "timing on the beat, compared with the norm at this tempo",
        }
    }
}

/// Shortest phrase, in bars, that counts for crossing a bar line. Origin: common practice, no
/// source; one of half a bar has an even chance.
pub const CARRYING_BARS: f64 = 0.5;

/// Shortest rest, in quarter notes, that counts as space. Origin: four in five rests between phrases
/// are as long (Weimar Jazz Database; Pfleiderer and others 2017: lower quartile 1.18).
pub const ROOM_BEATS: f64 = 1.0;

/// Distance from the median, in log2 of the ratio, beyond which a pair of eighths is uneven: a
/// factor of √2. Origin: the ratio from which eighths are called swung (Corcoran and Frieler
/// 2021: 1.41).
pub const UNEVEN_LOG2: f64 = 0.5;
