//! Numbers of tuplets, with a bracket if no beam shows their extent.

use super::column::Column;
use super::glyph::Glyph;
use super::mark::{Mark, Role, Shape};
use super::note::STEM;
use crate::output::notation::Beam;
use core::ops::RangeInclusive;

/// Distance of a tuplet's bracket or number from the marks below or above it.
const GAP: f64 = 0.45;

/// Length of the hooks at a bracket's ends.
const HOOK: f64 = 0.6;

/// Distance from a bracket to its number.
const ROOM: f64 = 0.3;

/// Draws the numbers of a bar's tuplets, clear of all `marks` of the line. `ups` has the stem direction of
/// each column.
pub(super) fn tuplets(columns: &[Column<'_>], xs: &[f64], ups: &[bool], marks: &mut Vec<Mark>) {
    let mut open = 0;
    for (index, column) in columns.iter().enumerate() {
        let Some(tuplet) = column.sign.tuplet else { continue };
        if tuplet.opens {
            open = index;
        }
        if tuplet.closes {
            number(columns, xs, ups, open..=index, tuplet.ratio.actual, marks);
        }
    }
}

fn number(
    columns: &[Column<'_>],
    xs: &[f64],
    ups: &[bool],
    range: RangeInclusive<usize>,
    actual: u32,
    marks: &mut Vec<Mark>,
) {
    let (Some(within), Some(left), Some(right)) =
        (columns.get(range.clone()), xs.get(*range.start()), xs.get(*range.end()))
    else {
        return;
    };
    let right = right + within.last().map_or(0.0, |last| last.right);
    let beam = |column: &Column<'_>| column.beams.first().copied();
    let beamed = within.iter().enumerate().all(|(index, column)| match beam(column) {
        Some(Beam::Begin) => index == 0,
        Some(Beam::End) => index + 1 == within.len(),
        Some(Beam::Continue) => index > 0 && index + 1 < within.len(),
        _ => false,
    });
    // On the side of the beam, or else above.
    let up = !beamed || ups.get(*range.start()).copied().unwrap_or(true);
    let role = within
        .iter()
        .find_map(|column| column.head.as_ref())
        .map_or(Role::Rest, |head| Role::Note(head.onset));
    let near = marks
        .iter()
        .map(|mark| mark.shape.bounds())
        .filter(|bounds| bounds.left < right && bounds.right > *left);
    let edge = if up {
        near.map(|bounds| bounds.top).fold(0.0, f64::min) - GAP
    } else {
        near.map(|bounds| bounds.bottom).fold(4.0, f64::max) + GAP
    };
    let digits: Vec<Glyph> = Glyph::tuplet(actual).collect();
    let width: f64 = digits.iter().map(|digit| digit.bounds().right).sum();
    let height = digits.iter().map(|digit| -digit.bounds().top).fold(0.0, f64::max);
    let middle = f64::midpoint(*left, right);
    let mut x = middle - width / 2.0;
    let baseline = match (beamed, up) {
        (true, true) => edge,
        (true, false) => edge + height,
        // The bracket's line runs through the middle of its number.
        (false, _) => edge - HOOK + height / 2.0,
    };
    for glyph in digits {
        marks.push(Mark { shape: Shape::Glyph { glyph, at: (x, baseline), scale: 1.0 }, role });
        x += glyph.bounds().right;
    }
    if beamed {
        return;
    }
    let line = edge - HOOK;
    let mut draw =
        |from, to| marks.push(Mark { shape: Shape::Line { from, to, width: STEM }, role });
    draw((*left, line), (*left, edge));
    draw((*left, line), (middle - width / 2.0 - ROOM, line));
    draw((middle + width / 2.0 + ROOM, line), (right, line));
    draw((right, line), (right, edge));
}
