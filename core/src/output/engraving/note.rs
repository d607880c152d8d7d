//! Single notes: head, accidental, dot, ledger lines, and the grace notes before them.

use super::column::{
    ACCIDENTAL_GAP, Column, DOT_GAP, GRACE, GRACE_STEP, Head, LEDGER, before_head,
};
use super::glyph::Glyph;
use super::mark::{Mark, Role, Shape};
use crate::output::notation::Value;

/// Thickness of staff lines and ledger lines (SMuFL's engraving defaults: .13 and .16), of stems (.12).
pub(super) const STAFF_LINE: f64 = 0.13;
const LEDGER_LINE: f64 = 0.16;
pub(super) const STEM: f64 = 0.12;

/// The length of a grace note's stem, and how far its accidental extends below it.
const GRACE_STEM: f64 = 2.2;
const GRACE_BELOW: f64 = 0.9;

impl Head {
    /// From the top of its grace notes' stems to the lowest of their heads and accidentals.
    pub(super) fn graces_reach(&self) -> Option<(f64, f64)> {
        let ys = || self.graces.iter().map(|(y, _)| *y);
        Some((ys().reduce(f64::min)? - GRACE_STEM, ys().reduce(f64::max)? + GRACE_BELOW))
    }
}

/// Draws a note at `x` without stem, flags and beams.
pub(super) fn head(column: &Column<'_>, head: &Head, x: f64, marks: &mut Vec<Mark>) {
    let role = Role::Note(head.onset);
    let glyph = Glyph::head(column.sign.value);
    marks.push(Mark { shape: Shape::Glyph { glyph, at: (x, head.y), scale: 1.0 }, role });
    ledger_lines(x, glyph.width(), head.y, 1.0, role, marks);
    let mut left = x;
    if let Some(alter) = head.accidental {
        left -= before_head(head.y) + Glyph::accidental(alter).width();
        accidental(alter, left, head.y, 1.0, role, marks);
    }
    if column.sign.dotted {
        dot(x + glyph.width() + column.flag, head.y, role, marks);
    }
    graces(head, left, role, marks);
}

/// Draws a dot after something that ends at `x`. A dot on a line moves up into the space.
pub(super) fn dot(x: f64, y: f64, role: Role, marks: &mut Vec<Mark>) {
    let y = if (y - y.round()).abs() < 0.25 { y.round() - 0.5 } else { y };
    let x = x + DOT_GAP - Glyph::DOT.bounds().left;
    marks.push(Mark { shape: Shape::Glyph { glyph: Glyph::DOT, at: (x, y), scale: 1.0 }, role });
}

/// Draws an accidental with its left edge at `x`.
fn accidental(alter: i8, x: f64, y: f64, scale: f64, role: Role, marks: &mut Vec<Mark>) {
    let glyph = Glyph::accidental(alter);
    let at = (x - glyph.bounds().left * scale, y);
    marks.push(Mark { shape: Shape::Glyph { glyph, at, scale }, role });
}

/// Draws a staccato dot, in a space on the side away from the stem.
pub(super) fn staccato(head: &Head, width: f64, x: f64, up: bool, marks: &mut Vec<Mark>) {
    let away = if up { 1.0 } else { -1.0 };
    let on_line = (head.y - head.y.round()).abs() < 0.25;
    let y = head.y + away * if on_line { 1.5 } else { 1.0 };
    let bounds = Glyph::STACCATO.bounds();
    let at = (
        x + (width - bounds.left - bounds.right) / 2.0,
        y - f64::midpoint(bounds.top, bounds.bottom),
    );
    let shape = Shape::Glyph { glyph: Glyph::STACCATO, at, scale: 1.0 };
    marks.push(Mark { shape, role: Role::Note(head.onset) });
}

fn ledger_lines(x: f64, width: f64, y: f64, scale: f64, role: Role, marks: &mut Vec<Mark>) {
    let (left, right) = (x - LEDGER * scale, x + width + LEDGER * scale);
    let mut line = |y: f64| {
        let shape = Shape::Line { from: (left, y), to: (right, y), width: LEDGER_LINE };
        marks.push(Mark { shape, role });
    };
    let mut above = -1.0;
    while above >= y {
        line(above);
        above -= 1.0;
    }
    let mut below = 5.0;
    while below <= y {
        line(below);
        below += 1.0;
    }
}

/// Draws grace notes, the last one before `right`. A single one has a flag, several have beams.
fn graces(head: &Head, right: f64, role: Role, marks: &mut Vec<Mark>) {
    let width = Glyph::BLACK_HEAD.width() * GRACE;
    let mut x = right
        - if head.accidental.is_none() && !(-0.5..=4.5).contains(&head.y) { LEDGER } else { 0.0 };
    let mut stems = Vec::new();
    for (y, alter) in head.graces.iter().rev() {
        let ledger = if (-0.5..=4.5).contains(y) { 0.0 } else { LEDGER * GRACE };
        x -= GRACE_STEP;
        let left = x + ledger;
        marks.push(Mark {
            shape: Shape::Glyph { glyph: Glyph::BLACK_HEAD, at: (left, *y), scale: GRACE },
            role,
        });
        ledger_lines(left, width, *y, GRACE, role, marks);
        stems.push((left + width - STEM / 2.0, *y));
        x -= ledger;
        if let Some(alter) = alter {
            let room = (Glyph::accidental(*alter).width() + ACCIDENTAL_GAP) * GRACE;
            x -= room;
            accidental(*alter, x, *y, GRACE, role, marks);
        }
    }
    let Some(end) = stems.iter().map(|(_, y)| y - GRACE_STEM).reduce(f64::min) else { return };
    let mut line = |from, to| {
        marks.push(Mark { shape: Shape::Line { from, to, width: STEM }, role });
    };
    for (x, y) in &stems {
        line((*x, *y), (*x, end));
    }
    match (stems.as_slice(), Glyph::flags(Value::Eighth, true)) {
        ([(x, _)], Some(glyph)) => {
            marks.push(Mark { shape: Shape::Glyph { glyph, at: (*x, end), scale: GRACE }, role });
        }
        ([(last, _), .., (first, _)], _) => {
            for level in [0.0, 1.0] {
                let y = end + 0.15 + 0.45 * level;
                marks.push(Mark {
                    shape: Shape::Beam { from: (*first, y), to: (*last, y), height: 0.3 },
                    role,
                });
            }
        }
        _ => {}
    }
}
