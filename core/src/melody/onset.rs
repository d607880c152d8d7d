//! One onset of the melody.

use crate::input::note::Note;
use crate::take::corrections::{Correction, Corrections};
use crate::time::Moment;

/// An onset of the line. Indices are those of notes; `first` is the least of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct MelodyOnset {
    /// The melody note, which gives attack and pitch.
    pub note: usize,
    /// Its first note, which may be a grace note or part of a chord.
    pub first: usize,
    /// The note that gives its end: `note`, or a second trigger of its key.
    pub held: usize,
    /// Number of grace notes before `note`.
    pub ornaments: u8,
}

impl MelodyOnset {
    /// When it ends; `None` while it sounds.
    pub fn off(&self, notes: &[Note]) -> Option<Moment> {
        notes.get(self.held)?.off
    }

    /// When it is struck.
    pub fn on(&self, notes: &[Note]) -> Option<Moment> {
        notes.get(self.note).map(|note| note.on)
    }

    /// When the silence before it ends: with its first grace note, or its attack.
    pub fn opens(&self, notes: &[Note]) -> Option<Moment> {
        let first = if self.ornaments > 0 { self.first } else { self.note };
        notes.get(first).map(|note| note.on)
    }

    /// Number of melody notes, including grace notes.
    pub fn notes(&self) -> usize {
        1 + usize::from(self.ornaments)
    }

    /// The user's correction of this onset. It may refer to any of its notes, because the melody may have
    /// been different when it was made.
    pub fn correction(&self, corrections: &Corrections, notes: &[Note]) -> Option<Correction> {
        if corrections.all().is_empty() {
            return None;
        }
        let (first, last) = (notes.get(self.first)?.on.second, notes.get(self.note)?.on.second);
        corrections.between(first, last)
    }
}

/// A melody onset in seconds, as the segmenter takes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimedOnset {
    /// Attack.
    pub at: f64,
    /// End of the silence before it: earlier than `at` where grace notes come first.
    pub opens: f64,
    /// MIDI key.
    pub key: f64,
    /// End of the onset before; infinite while that one sounds.
    pub before_ended: f64,
}
