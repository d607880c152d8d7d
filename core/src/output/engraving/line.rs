//! What a line of music is.

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
    /// Around all marks.
    pub bounds: Bounds,
    /// What is drawn; staff lines come first.
    pub marks: Vec<Mark>,
    /// Its notes, in order; of tied ones the first head.
    pub notes: Vec<NotePlace>,
    /// Its bars, from left to right.
    pub places: Vec<BarPlace>,
}

/// Where a note stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NotePlace {
    /// Its onset in the melody line.
    pub onset: usize,
    /// Around its head.
    pub head: Bounds,
}

/// Where a bar stands.
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
    /// Leaves out the brackets of phrases, and the room that they take.
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
