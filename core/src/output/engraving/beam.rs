//! Stems, flags and beams of a bar.
//!
//! Lengths and slopes are common practice, no source: stems of 3.5 spaces that reach the middle line;
//! beams that follow their notes by a space at most, level if an inner note is beyond both ends.

use super::column::{Column, Head, MIDDLE};
use super::glyph::Glyph;
use super::mark::{Mark, Role, Shape};
use super::note::STEM;
use crate::output::notation::{Beam, Value};

/// Thickness of a beam, and the distance from one to the next (SMuFL's engraving defaults: .5, and .25 between).
const BEAM: f64 = 0.5;
const BEAM_STEP: f64 = 0.75;

/// Length of a stem, and the least under one beam.
const LENGTH: f64 = 3.5;
const SHORTEST: f64 = 3.0;

/// Distance from the middle of a head to flags above or below it.
const CLEAR: f64 = 0.6;

/// Length of a short beam at a note whose neighbour has fewer.
const HOOK: f64 = 1.1;

/// The most by which a beam rises over its length, and a space to the right.
const RISE: f64 = 1.0;
const SLOPE: f64 = 0.2;

/// A note with its position.
#[derive(Debug, Clone, Copy)]
pub(super) struct Placed<'a> {
    pub column: &'a Column<'a>,
    pub head: &'a Head,
    /// The left edge of its head.
    pub x: f64,
}

/// Whether the stem of each note of a bar goes up.
pub(super) fn stems(notes: &[Placed<'_>], marks: &mut Vec<Mark>) -> Vec<bool> {
    let mut up = Vec::with_capacity(notes.len());
    let mut rest = notes;
    while let Some(first) = rest.first() {
        let beamed = first.column.beams.first() == Some(&Beam::Begin);
        let ends = |note: &Placed<'_>| note.column.beams.first() == Some(&Beam::End);
        let count = if beamed { rest.iter().position(ends).map_or(1, |end| end + 1) } else { 1 };
        let (group, after) = rest.split_at(count);
        rest = after;
        let goes_up = upwards(group);
        up.extend(group.iter().map(|_| goes_up));
        if beamed && count > 1 {
            beamed_group(group, goes_up, marks);
        } else {
            single(first, goes_up, marks);
        }
    }
    up
}

/// The note furthest from the middle line decides; stems go down from the middle line.
fn upwards(group: &[Placed<'_>]) -> bool {
    let (mut above, mut below): (f64, f64) = (0.0, 0.0);
    for note in group {
        above = above.max(MIDDLE - note.head.y);
        below = below.max(note.head.y - MIDDLE);
    }
    below > above
}

/// The position of a note's stem.
fn stem_x(note: &Placed<'_>, up: bool) -> f64 {
    if up {
        note.x + Glyph::head(note.column.sign.value).width() - STEM / 2.0
    } else {
        note.x + STEM / 2.0
    }
}

fn stem(note: &Placed<'_>, up: bool, end: f64, marks: &mut Vec<Mark>) {
    let x = stem_x(note, up);
    let shape = Shape::Line { from: (x, note.head.y), to: (x, end), width: STEM };
    marks.push(Mark { shape, role: Role::Note(note.head.onset) });
}

fn single(note: &Placed<'_>, up: bool, marks: &mut Vec<Mark>) {
    let value = note.column.sign.value;
    if value <= Value::Whole {
        return;
    }
    let flags = Glyph::flags(value, up);
    // Flags end before the head.
    let reach =
        flags.map_or(0.0, |flags| if up { flags.bounds().bottom } else { -flags.bounds().top });
    let length = LENGTH.max(reach + CLEAR);
    let y = note.head.y;
    let end = if up { (y - length).min(MIDDLE) } else { (y + length).max(MIDDLE) };
    stem(note, up, end, marks);
    if let Some(glyph) = flags {
        let at = (stem_x(note, up) - STEM / 2.0, end);
        marks.push(Mark {
            shape: Shape::Glyph { glyph, at, scale: 1.0 },
            role: Role::Note(note.head.onset),
        });
    }
}

fn beamed_group(group: &[Placed<'_>], up: bool, marks: &mut Vec<Mark>) {
    let ([first, ..], [.., last]) = (group, group) else { return };
    let (from, to) = (stem_x(first, up), stem_x(last, up));
    let away = if up { -1.0 } else { 1.0 };
    let slope = slope(group, up) / (to - from).max(1.0);
    let needed = |note: &Placed<'_>| {
        let more = note.column.beams.len().saturating_sub(1);
        SHORTEST + BEAM_STEP * f64::from(u32::try_from(more).unwrap_or_default())
    };
    // Where the outer beam must cross the first stem so that each stem is long enough and reaches the middle
    // line.
    let at_first = |end: f64, x: f64| end - slope * (x - from);
    let mut ends: Vec<f64> = Vec::with_capacity(group.len());
    for (index, note) in group.iter().enumerate() {
        let x = stem_x(note, up);
        let end = note.head.y + away * needed(note);
        ends.push(at_first(if up { end.min(MIDDLE) } else { end.max(MIDDLE) }, x));
        // The beam keeps clear of grace notes between its notes.
        if let Some((top, bottom)) = note.head.graces_reach().filter(|_| index > 0) {
            let edge = if up { top } else { bottom };
            ends.push(at_first(edge + away * (needed(note) - SHORTEST + BEAM + CLEAR), x));
        }
    }
    let ends = ends.into_iter();
    let Some(start) = (if up { ends.reduce(f64::min) } else { ends.reduce(f64::max) }) else {
        return;
    };
    let line = |x: f64| start + slope * (x - from);
    for note in group {
        stem(note, up, line(stem_x(note, up)), marks);
    }
    let levels = group.iter().map(|note| note.column.beams.len()).max().unwrap_or_default();
    for level in 0..levels {
        let below = BEAM / 2.0 + BEAM_STEP * f64::from(u32::try_from(level).unwrap_or_default());
        let mut draw = |onset: usize, from: f64, to: f64| {
            let end = |x: f64| (x, line(x) - away * below);
            let shape = Shape::Beam { from: end(from), to: end(to), height: BEAM };
            marks.push(Mark { shape, role: Role::Note(onset) });
        };
        let mut open: Option<f64> = None;
        for (index, note) in group.iter().enumerate() {
            let x = stem_x(note, up);
            // A short beam ends before its neighbour and that one's accidental.
            let hook = |neighbour: Option<usize>| {
                let room = neighbour.and_then(|index| group.get(index)).map(|other| {
                    let left = other.x - other.column.left - CLEAR / 4.0;
                    if left > x { left - x } else { (x - stem_x(other, up)) / 2.0 }
                });
                HOOK.min(room.unwrap_or(HOOK))
            };
            match note.column.beams.get(level) {
                Some(Beam::Begin) => open = Some(x - STEM / 2.0),
                Some(Beam::End) => {
                    if let Some(from) = open.take() {
                        draw(note.head.onset, from, x + STEM / 2.0);
                    }
                }
                Some(Beam::ForwardHook) => {
                    draw(note.head.onset, x - STEM / 2.0, x + hook(Some(index + 1)))
                }
                Some(Beam::BackwardHook) => {
                    draw(note.head.onset, x - hook(index.checked_sub(1)), x + STEM / 2.0)
                }
                Some(Beam::Continue) | None => {}
            }
        }
    }
}

/// How far a beam rises or falls from its first note to its last.
fn slope(group: &[Placed<'_>], up: bool) -> f64 {
    let ([first, inner @ .., last], [start, .., end]) = (group, group) else { return 0.0 };
    let beyond = |note: &Placed<'_>| {
        if up {
            note.head.y < first.head.y.min(last.head.y)
        } else {
            note.head.y > first.head.y.max(last.head.y)
        }
    };
    if inner.iter().any(beyond) {
        return 0.0;
    }
    let max = RISE.min(SLOPE * (end.x - start.x));
    ((last.head.y - first.head.y) / 2.0).clamp(-max, max)
}
