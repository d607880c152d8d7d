//! Why a file can't be read.

use core::fmt;

/// Each is told in a sentence without a full stop, to follow a file's name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MidiError {
    /// It does not begin like one.
    NotMidi,
    /// It ends before its chunks do.
    Truncated,
    /// A track ends without its end mark: cut off, or unreadable from some event on.
    TrackBreaksOff {
        /// From 1.
        track: usize,
    },
    /// The parser gave up.
    Damaged(String),
    /// Several songs in a row: type 2.
    TypeTwo,
    /// Time counted in film frames.
    Smpte,
    /// No ticks in a quarter.
    NoDivision,
    /// A tempo of 0 microseconds a quarter.
    TempoZero,
    /// A tempo faster than [`crate::time::Tempo`] allows.
    TempoTooFast {
        /// Microseconds a quarter.
        microseconds: u32,
    },
    /// A time signature that can't be counted in.
    StrangeMetre {
        /// Upper figure.
        numerator: u8,
        /// Power of two of the lower figure.
        power: u8,
    },
    /// There are no notes.
    NoNotes,
    /// There are none on the track or channel that was asked for.
    NoSuchLine,
}

impl fmt::Display for MidiError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotMidi => write!(f, "not a Standard MIDI File"),
            Self::Truncated => write!(f, "truncated: the file ends before its chunks do"),
            Self::TrackBreaksOff { track } => {
                write!(f, "truncated or damaged: track {track} has no end mark")
            }
            Self::Damaged(how) => write!(f, "damaged: {how}"),
            Self::TypeTwo => write!(f, "type 2 (separate songs) can't be reviewed as one take"),
            Self::Smpte => write!(f, "SMPTE time division: it has no beats"),
            Self::NoDivision => write!(f, "a time division of 0 ticks a quarter"),
            Self::TempoZero => write!(f, "a tempo of 0 microseconds a quarter"),
            Self::TempoTooFast { microseconds } => write!(
                f,
                "a tempo of {microseconds} microseconds a quarter: over 10000 quarters a minute"
            ),
            Self::StrangeMetre { numerator, power } => {
                write!(f, "a time signature that can't be counted in: {numerator} over 2^{power}")
            }
            Self::NoNotes => write!(f, "no notes"),
            Self::NoSuchLine => write!(f, "no notes on the chosen track or channel"),
        }
    }
}

impl core::error::Error for MidiError {}
