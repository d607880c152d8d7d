//! Before the first phrase: an example of each kind of start.

use crate::panel::playing::lanes::Lanes;
use crate::panel::widgets::{End, Line, Mark, Pen};
use egui::{Align2, Pos2, Rect, pos2};

/// A kind of start, its position in bars from the bar line, and its long and short name.
const KINDS: [(Mark, f64, &str, &str); 4] = [
    (Mark::One, 0.0, "starts on beat one", "beat one"),
    (Mark::Beat, 0.25, "starts on another beat", "a beat"),
    (Mark::Off, 0.375, "starts off the beat", "off the beat"),
    (Mark::Off, -0.125, "pickup, before the bar line", "pickup"),
];

/// Length of the examples, in bars.
const LENGTH: f64 = 0.5;

/// An invented phrase as it will look: it starts on the "and" of 4, before its bar line.
const EXAMPLE: (f64, f64, &str, &str) = (-0.125, 2.4, "& of 4", "2.4");
const EXAMPLE_TEXTS: [&str; 3] = [
    "example: a phrase that starts on the & of 4 and is 2.4 bars long",
    "example: starts on the & of 4, 2.4 bars",
    "example",
];

/// The legend, in lanes `pitch` points high from the top of `rows`.
pub fn paint(pen: &Pen<'_>, lanes: &Lanes, rows: Rect, pitch: f32) {
    let thick = pitch * 0.58;
    for (place, (mark, start, long, short)) in KINDS.into_iter().enumerate() {
        let middle = lane(rows, pitch, place as f32);
        if middle + pitch > rows.bottom() {
            return;
        }
        let (left, right) = (lanes.x(start), lanes.x(start + LENGTH));
        let y = middle - thick / 2.0..=middle + thick / 2.0;
        mark.paint(pen.painter(), pen.theme(), Rect::from_x_y_ranges(left..=right, y), End::Left);
        let text = right + pen.len(12.0);
        let (soft, room) = (pen.theme().ink_soft, lanes.lengths - text);
        if let Some(line) = pen.fitting(&[long, short], pen.style.caption, soft, room) {
            write_over_grid(pen, &line, pos2(text, middle));
        }
    }
    example(pen, lanes, rows, (lane(rows, pitch, KINDS.len() as f32 + 1.5), pitch));
}

/// The middle of a lane, leaving every other lane free, so that the legend does not look like a take.
fn lane(rows: Rect, pitch: f32, place: f32) -> f32 {
    rows.top() + (place * 1.6 + 1.0) * pitch
}

/// A whole phrase with its position and its length, under a caption that says it is an example.
fn example(pen: &Pen<'_>, lanes: &Lanes, rows: Rect, (middle, pitch): (f32, f32)) {
    if middle + pitch > rows.bottom() {
        return;
    }
    let (start, length, position, bars) = EXAMPLE;
    let thick = pitch * 0.58;
    let y = middle - thick / 2.0..=middle + thick / 2.0;
    let bar = Rect::from_x_y_ranges(lanes.x(start)..=lanes.x(start + length), y);
    Mark::Off.paint(pen.painter(), pen.theme(), bar, End::Left);
    pen.small(position).paint(pos2(lanes.labels, middle), Align2::LEFT_CENTER);
    pen.small(bars).paint(pos2(lanes.lengths, middle), Align2::RIGHT_CENTER);
    let at = pos2(lanes.bar_line + pen.len(8.0), middle - pitch);
    let (soft, room) = (pen.theme().ink_soft, lanes.lengths - at.x);
    if let Some(line) = pen.fitting(&EXAMPLE_TEXTS, pen.style.caption, soft, room) {
        write_over_grid(pen, &line, at);
    }
}

/// Writes a line that masks the grid.
fn write_over_grid(pen: &Pen<'_>, line: &Line, at: Pos2) {
    let behind = Align2::LEFT_CENTER.anchor_size(at, line.size());
    pen.painter().rect_filled(behind, 0.0, pen.theme().ground);
    line.paint(at, Align2::LEFT_CENTER);
}
