//! Ties.

use super::mark::{Mark, Role, Shape};

/// A note that has been drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drawn {
    pub onset: usize,
    /// The left edge of its head, and the right one of its head or dot.
    pub left: f64,
    pub right: f64,
    /// The height of its head.
    pub y: f64,
    /// Whether its stem goes up.
    pub up: bool,
    pub tied_from: bool,
    pub tied_on: bool,
}

/// Distance from a head to the end of its tie, horizontally and vertically.
const ASIDE: f64 = 0.15;
const AWAY: f64 = 0.62;

/// The arc of the shortest and the longest ties.
const MIN_RISE: f64 = 0.3;
const MAX_RISE: f64 = 0.8;

/// Draws the ties of a line from `start` to `end`; one from the line before, or to the next, is cut there.
pub(super) fn ties(notes: &[Drawn], start: f64, end: f64, marks: &mut Vec<Mark>) {
    let mut before: Option<&Drawn> = None;
    for note in notes {
        match before {
            Some(from) if note.tied_from => tie(from, from.right, note.left, marks),
            None if note.tied_from => tie(note, start.max(note.left - 2.5), note.left, marks),
            _ => {}
        }
        before = Some(note);
    }
    if let Some(last) = before.filter(|last| last.tied_on) {
        tie(last, last.right, end, marks);
    }
}

fn tie(note: &Drawn, from: f64, to: f64, marks: &mut Vec<Mark>) {
    let away = if note.up { 1.0 } else { -1.0 };
    let (from, to) = (from + ASIDE, (to - ASIDE).max(from + ASIDE + 0.3));
    let rise = ((to - from) * 0.15).clamp(MIN_RISE, MAX_RISE) * away;
    let y = note.y + AWAY * away;
    let shape = Shape::Tie { from: (from, y), to: (to, y), rise };
    marks.push(Mark { shape, role: Role::Note(note.onset) });
}
