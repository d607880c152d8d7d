//! Metrical positions: where in the bar a note counts as played.

use super::subdivision::PulseSubdivision;
use crate::time::{Beat, BeatSpan, SecondSpan, Tempo};
use serde::{Deserialize, Serialize};

/// The class of a metrical position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PositionClass {
    /// Beat one.
    One,
    /// Another beat.
    Beat,
    /// Half a pulse after a beat.
    And,
    /// A third of a pulse; in compound metres an ordinary eighth.
    Triplet,
    /// A quarter of a pulse; in compound metres a sixth.
    Sixteenth,
    /// Anywhere else.
    Other,
}

impl PositionClass {
    /// All classes.
    pub const ALL: [Self; 6] =
        [Self::One, Self::Beat, Self::And, Self::Triplet, Self::Sixteenth, Self::Other];

    /// Whether it is off the beat.
    pub fn is_off_beat(self) -> bool {
        !matches!(self, Self::One | Self::Beat)
    }

    /// Its name in reports: `one`, `beat`, `and`, `triplet`, `sixteenth`, `other`.
    pub fn name(self) -> &'static str {
        match self {
            Self::One => "one",
            Self::Beat => "beat",
            Self::And => "and",
            Self::Triplet => "triplet",
            Self::Sixteenth => "sixteenth",
            Self::Other => "other",
        }
    }
}

/// A position in the bar. A note a little ahead of a beat belongs to the beat it anticipates and to
/// that beat's bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MetricalPosition {
    /// Number of the bar, from 1; before the song's start it is 0 or less.
    pub bar: i64,
    /// The pulse, from 1.
    pub pulse: u8,
    /// The subdivision of the pulse.
    pub subdivision: PulseSubdivision,
    /// Its class.
    pub class: PositionClass,
    /// Probability of the class, from 0 to 1, by the quantizer.
    pub confidence: f64,
    /// Its beat is complete: later notes no longer change it, though the whole take may.
    pub settled: bool,
    /// Position as played, in pulses, where the bar line is 1: the "and" of 4 is about 4.5. Less than 1 only
    /// for a note ahead of its bar line.
    pub played: f64,
    /// Length of the pulse.
    pub pulse_length: BeatSpan,
    /// Length of its bar.
    pub bar_length: BeatSpan,
    /// Where it was played in the song.
    pub beat: Beat,
    /// Where its bar begins.
    pub bar_start: Beat,
}

impl MetricalPosition {
    /// Where its pulse begins.
    pub fn pulse_start(&self) -> Beat {
        self.bar_start + BeatSpan((f64::from(self.pulse) - 1.0) * self.pulse_length.0)
    }

    /// The notated position in pulses from the bar line; `None` for [`PulseSubdivision::Other`].
    pub fn notated(&self) -> Option<f64> {
        self.subdivision.share().map(|share| f64::from(self.pulse) - 1.0 + share)
    }

    /// Position in pulses from 1 at the bar line, never less than 1.
    pub fn beat_in_bar(&self) -> f64 {
        self.played.max(1.0)
    }

    /// How far from the pulse it was played, for a note on a pulse: late is positive.
    pub fn lag(&self, tempo: Tempo) -> Option<SecondSpan> {
        (self.subdivision == PulseSubdivision::On).then(|| {
            let pulses = self.played - f64::from(self.pulse);
            tempo.seconds(BeatSpan(pulses * self.pulse_length.0))
        })
    }
}
