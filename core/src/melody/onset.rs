//! One onset of the melody.

use crate::input::note::Note;
use crate::take::corrections::{Correction, Corrections};
use crate::time::Moment;

/// An onset of the line. Indices are those of notes; `first` is the least of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct MelodyOnset {
    /// The line's note: its attack is the onset's place, its key the line's pitch.
    pub note: usize,
    /// The first note that belongs to it, grace notes and the chord under it among them.
    pub first: usize,
    /// The note whose end is the onset's: `note`, or its key's second trigger.
    pub held: usize,
    /// How many grace notes come before `note`.
    pub ornaments: u8,
}

impl MelodyOnset {
    /// When it ends; `None` while it sounds.
    #[must_use]
    pub fn off(&self, notes: &[Note]) -> Option<Moment> {
        notes.get(self.held)?.off
    }

    /// When it is struck: where its place is.
    #[must_use]
    pub fn on(&self, notes: &[Note]) -> Option<Moment> {
        notes.get(self.note).map(|note| note.on)
    }

    /// When the silence before it ends: with its first grace note, or as it is struck.
    #[must_use]
    pub fn opens(&self, notes: &[Note]) -> Option<Moment> {
        let first = if self.ornaments > 0 { self.first } else { self.note };
        notes.get(first).map(|note| note.on)
    }

    /// How many of the line's notes it is, with its grace notes.
    #[must_use]
    pub fn notes(&self) -> usize {
        1 + usize::from(self.ornaments)
    }

    /// The user's correction of this onset. It may name any of the onset's notes: the melody may
    /// have been found otherwise when it was made.
    #[must_use]
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
