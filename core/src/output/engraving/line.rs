//! A line of music.

use super::glyph::Bounds;
use super::mark::{Mark, Role};
use core::ops::Range;

/// A line of music.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The bars on it, by their index in the take.
    pub bars: Range<usize>,
    /// Length of its staff.
    pub width: f64,
    /// The box around all marks.
    pub bounds: Bounds,
    /// Its marks; staff lines come first.
    pub marks: Vec<Mark>,
    /// Its notes, in order; for tied ones the first head.
    pub notes: Vec<NotePlace>,
    /// Its bars, from left to right.
    pub places: Vec<BarPlace>,
}

/// The position of a note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NotePlace {
    /// Its onset in the melody line.
    pub onset: usize,
    /// The box around its head.
    pub head: Bounds,
}

/// The position of a bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarPlace {
    /// Its number, as in the host.
    pub number: i64,
    /// Its left edge.
    pub left: f64,
    /// Its bar line.
    pub right: f64,
}

impl Line {
    /// Removes the phrase brackets and the space for them.
    pub fn without_brackets(&mut self) {
        self.marks.retain(|mark| !matches!(mark.role, Role::Phrase(_)));
        self.bounds = around(&self.marks);
    }
}

/// The box around marks.
pub(super) fn around(marks: &[Mark]) -> Bounds {
    let bounds = marks.iter().map(|mark| mark.shape.bounds());
    bounds.reduce(Bounds::with).unwrap_or(Bounds::EMPTY)
}
