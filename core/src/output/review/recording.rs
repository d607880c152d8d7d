//! The recording in a review.

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

/// A recording and the notes transcribed from it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReviewedRecording {
    /// Its length in seconds.
    pub seconds: f64,
    /// Samples per second.
    pub sample_rate: u32,
    /// Number of channels.
    pub channels: usize,
    /// The player's tuning, in Hz.
    pub tuning: f64,
    /// Remarks about anything unusual.
    pub remarks: Vec<String>,
    /// The notes, in order of time.
    pub heard_notes: Vec<ReviewedNote>,
}

/// A transcribed note.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReviewedNote {
    /// Its attack, in seconds from the start of the recording.
    pub onset: f64,
    /// Its end.
    pub end: Option<f64>,
    /// Its MIDI key; 60 is middle C.
    pub key: u8,
    /// Its deviation from that key, in cents.
    pub cents: f64,
    /// From 0 to 1, by its loudness.
    pub velocity: f64,
    /// Probability that a note begins there, from 0 to 1.
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
