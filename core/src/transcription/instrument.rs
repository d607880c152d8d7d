//! The instrument and its settings.

use super::situation::Situation;

/// The player's instrument. It sets the lowest note, and how notes begin and end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Instrument {
    /// Not specified.
    #[default]
    Any,
    /// Soprano or alto saxophone.
    AltoSax,
    /// Tenor saxophone.
    TenorSax,
    /// Baritone saxophone.
    BaritoneSax,
    /// Trumpet, cornet or flugelhorn.
    Trumpet,
    /// Trombone.
    Trombone,
    /// Clarinet.
    Clarinet,
    /// Flute.
    Flute,
    /// Guitar.
    Guitar,
    /// A singing voice.
    Voice,
}

/// The settings of a note tracker.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TrackerSettings {
    /// The instrument.
    pub instrument: Instrument,
    /// The player's tuning in Hz, from 430 to 450; estimated from the notes if `None`.
    pub tuning: Option<f64>,
}

impl Instrument {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Any,
        Self::AltoSax,
        Self::TenorSax,
        Self::BaritoneSax,
        Self::Trumpet,
        Self::Trombone,
        Self::Clarinet,
        Self::Flute,
        Self::Guitar,
        Self::Voice,
    ];

    /// Its name as an option.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Any => "any",
            Self::AltoSax => "alto-sax",
            Self::TenorSax => "tenor-sax",
            Self::BaritoneSax => "baritone-sax",
            Self::Trumpet => "trumpet",
            Self::Trombone => "trombone",
            Self::Clarinet => "clarinet",
            Self::Flute => "flute",
            Self::Guitar => "guitar",
            Self::Voice => "voice",
        }
    }

    /// The lowest note, as a MIDI key at sounding pitch. Origin: ranges of the instruments by common knowledge, from
    /// memory, a semitone lower for tuning and bends.
    #[must_use]
    pub fn lowest_key(self) -> u8 {
        match self {
            Self::Any | Self::Guitar => 39,
            Self::AltoSax => 48,
            Self::TenorSax => 43,
            Self::BaritoneSax => 36,
            Self::Trumpet => 51,
            Self::Trombone => 39,
            Self::Clarinet => 49,
            Self::Flute => 58,
            Self::Voice => 40,
        }
    }

    /// The least probability of an onset. Origin: about as many false as missed notes on rendered solos. A sounding
    /// voice slides and trembles, and gives more false onsets: on rendered singing.
    pub(super) fn likely(self, situation: Situation) -> f32 {
        match (self, situation) {
            (Self::Voice, Situation::Moved | Situation::Same) => 0.65,
            _ => 0.35,
        }
    }

    /// The least hops between onsets: 37 ms, and 75 ms for a voice. Origin: as above.
    pub(super) fn shortest(self) -> u64 {
        match self {
            Self::Voice => 14,
            _ => 7,
        }
    }

    /// The fastest decay of a held note, in dB per second: a string is plucked once.
    pub(super) fn decay(self) -> f32 {
        match self {
            Self::Guitar => 40.0,
            Self::Any => 20.0,
            _ => 12.0,
        }
    }
}
