//! What is known of the instrument.

use super::situation::Situation;

/// What is played. Each has its lowest note, and how its notes begin and end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Instrument {
    /// Not told which.
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

/// How a player is heard.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TrackerSettings {
    /// What is played.
    pub instrument: Instrument,
    /// What the player tunes to, in Hz, from 430 to 450; found from the playing where not given.
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

    /// The lowest note that is played, as a MIDI key at sounding pitch. Origin: ranges of the
    /// instruments by common knowledge, from memory, a semitone lower for tuning and bends.
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

    /// A moment as likely as this begins a note. Origin: over rendered solos, about as many notes too many as too
    /// few. A voice that sounds slides and trembles, and much that is likely is none: over rendered singing.
    pub(super) fn likely(self, situation: Situation) -> f32 {
        match (self, situation) {
            (Self::Voice, Situation::Moved | Situation::Same) => 0.65,
            _ => 0.35,
        }
    }

    /// No note comes sooner after another, in hops: 37 ms, and 75 ms of a voice. Origin: as above.
    pub(super) fn shortest(self) -> u64 {
        match self {
            Self::Voice => 14,
            _ => 7,
        }
    }

    /// How fast a held note may grow softer and still sound, in dB a second: a string is plucked once.
    pub(super) fn decay(self) -> f32 {
        match self {
            Self::Guitar => 40.0,
            Self::Any => 20.0,
            _ => 12.0,
        }
    }
}
