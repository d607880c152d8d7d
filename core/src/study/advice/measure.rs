//! The figures that advice and progress speak about.

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
    /// Stretches of [`super::spans::WINDOW_BARS`] bars that a phrase of
    /// [`crate::settings::AlertSettings::long_line_bars`] or longer runs through or into.
    LongLines,
    /// Phrases that carry on over a bar line, of those of [`CARRYING_BARS`] or longer.
    OverTheBar,
    /// Stretches of [`super::spans::WINDOW_BARS`] bars that have a rest of [`ROOM_BEATS`] or longer.
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
            Self::LongLines => "four-bar bar_windows with some of a line of two bars or more",
            Self::OverTheBar => "phrases of half a bar or more that cross a bar line",
            Self::Room => "four-bar bar_windows with some of a rest of a beat or more",
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
