//! Errors of reading a MIDI file.

/// Why a file can't be read. The message follows the file's name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MidiError {
    /// It lacks the header.
    #[error("not a Standard MIDI File")]
    NotMidi,
    /// A chunk is longer than the rest of the file.
    #[error("truncated: the file ends before its chunks do")]
    Truncated,
    /// A track has no end mark: it is cut off, or an event is unreadable.
    #[error("truncated or damaged: track {track} has no end mark")]
    TrackBreaksOff {
        /// From 1.
        track: usize,
    },
    /// The parser failed.
    #[error("damaged: {0}")]
    Damaged(String),
    /// Type 2: several songs.
    #[error("type 2 (separate songs) can't be reviewed as one take")]
    TypeTwo,
    /// Time in film frames.
    #[error("SMPTE time division: it has no beats")]
    Smpte,
    /// 0 ticks per quarter.
    #[error("a time division of 0 ticks a quarter")]
    NoDivision,
    /// A tempo of 0 microseconds per quarter.
    #[error("a tempo of 0 microseconds a quarter")]
    TempoZero,
    /// A tempo faster than [`crate::time::Tempo`] allows.
    #[error("a tempo of {microseconds} microseconds a quarter: over 10000 quarters a minute")]
    TempoTooFast {
        /// Microseconds per quarter.
        microseconds: u32,
    },
    /// An unsupported time signature.
    #[error("a time signature that can't be counted in: {numerator} over 2^{power}")]
    StrangeMetre {
        /// The upper figure.
        numerator: u8,
        /// The lower figure as a power of two.
        power: u8,
    },
    /// The file has no notes.
    #[error("no notes")]
    NoNotes,
    /// The chosen track or channel has no notes.
    #[error("no notes on the chosen track or channel")]
    NoSuchLine,
}
