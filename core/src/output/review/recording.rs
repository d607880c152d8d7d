//! What a review says of a recording.

use super::rounded;
use crate::input::recording::Recording;
use crate::transcription::HeardNote;
use serde::Serialize;

/// Where the notes come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// A MIDI file, or a take of the plugin.
    Midi,
    /// A recording.
    Audio,
}

/// A recording and the notes heard in it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReviewedRecording {
    /// How long it is, in seconds.
    pub seconds: f64,
    /// Samples a second.
    pub sample_rate: u32,
    /// How many channels it has.
    pub channels: usize,
    /// What the player tunes to, in Hz.
    pub tuning: f64,
    /// What is odd in it.
    pub remarks: Vec<String>,
    /// The heard notes, in order of time.
    pub heard_notes: Vec<ReviewedNote>,
}

/// A heard note.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReviewedNote {
    /// Its attack, in seconds from the start of the recording.
    pub onset: f64,
    /// Its end.
    pub end: Option<f64>,
    /// Its MIDI key; 60 is middle C.
    pub key: u8,
    /// How far from that key it is, in cents.
    pub cents: f64,
    /// From 0 to 1, by its loudness.
    pub velocity: f64,
    /// How likely a note begins there, from 0 to 1.
    pub confidence: f64,
}

impl From<&Recording> for ReviewedRecording {
    fn from(recording: &Recording) -> Self {
        Self {
            seconds: rounded(recording.length.0),
            sample_rate: recording.sample_rate,
            channels: recording.channels,
            tuning: rounded(recording.tuning),
            remarks: recording.remarks.clone(),
            heard_notes: recording.notes.iter().map(ReviewedNote::from).collect(),
        }
    }
}

impl From<&HeardNote> for ReviewedNote {
    fn from(note: &HeardNote) -> Self {
        Self {
            onset: rounded(note.onset.0),
            end: note.end.map(|end| rounded(end.0)),
            key: note.key,
            cents: rounded(note.cents.into()),
            velocity: rounded(note.velocity.into()),
            confidence: rounded(note.confidence.into()),
        }
    }
}
