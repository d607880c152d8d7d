//! Errors of reading a MIDI file.

/// Why a file can't be read. The message follows the file's name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MidiError {
    /// It lacks the header.
    #[error("not a Standard MIDI File")]
    NotMidi,
    /// A chunk is longer than the rest of the file.
    #[error("file is truncated")]
    Truncated,
    /// A track has no end mark: it is cut off, or an event is unreadable.
    #[error("file is truncated or damaged: track {track} has no end")]
    TrackBreaksOff {
        /// From 1.
        track: usize,
    },
    /// The parser failed.
    #[error("file is damaged: {0}")]
    Damaged(String),
    /// Type 2: several songs.
    #[error("MIDI type 2 is not supported")]
    TypeTwo,
    /// Time in film frames.
    #[error("SMPTE time is not supported: it has no beats")]
    Smpte,
    /// 0 ticks per quarter.
    #[error("invalid time division: 0 ticks per quarter note")]
    NoDivision,
    /// A tempo of 0 microseconds per quarter.
    #[error("invalid tempo: 0 microseconds per quarter note")]
    TempoZero,
    /// A tempo faster than [`crate::time::Tempo`] allows.
    #[error("tempo over 10000 BPM: {microseconds} microseconds per quarter note")]
    TempoTooFast {
        /// Microseconds per quarter.
        microseconds: u32,
    },
    /// An unsupported time signature.
    #[error("unsupported time signature: {numerator}/{}", 2_u64.saturating_pow(u32::from(*power)))]
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
