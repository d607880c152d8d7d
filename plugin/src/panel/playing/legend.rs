//! Before the first phrase: an example for each kind of start.

use crate::panel::playing::phrase_lanes::Lanes;
use crate::panel::style::Style;
use crate::panel::widgets::phrase_mark::{End, Mark};
use crate::panel::widgets::text::{self, Line};
use egui::{Align2, Painter, Rect, pos2};
use overbar_core::session::snapshot::GridState;

/// A kind of start, its position in bars from the bar line, and its long and short name.
const KINDS: [(Mark, f64, &str, &str); 4] = [
    (Mark::One, 0.0, "in on beat one", "beat one"),
    (Mark::Beat, 0.25, "in on another beat", "a beat"),
    (Mark::Off, 0.375, "in off the beat", "off the beat"),
    (Mark::Off, -0.125, "picked up before the bar line", "a pick-up"),
];

/// Length of the examples, in bars.
const LENGTH: f64 = 0.5;

const NO_BAR_LINE: &str = "Without a beat grid there is no bar line to hang phrases on.";

/// The key, in lanes `pitch` points high from the top of `rows`.
pub fn paint(
    painter: &Painter,
    style: &Style,
    lanes: &Lanes,
    rows: Rect,
    pitch: f32,
    grid: GridState,
) {
    if let GridState::Missing(_) = grid {
        return say_no_bar_line(painter, style, lanes, rows);
    }
    let thick = pitch * 0.58;
    for (place, (mark, start, long, short)) in KINDS.into_iter().enumerate() {
        // A free lane between two, so that the legend does not look like a take.
        let middle = rows.top() + (place as f32 * 1.6 + 1.0) * pitch;
        if middle + pitch > rows.bottom() {
            return;
        }
        let (left, right) = (lanes.x(start), lanes.x(start + LENGTH));
        let y = middle - thick / 2.0..=middle + thick / 2.0;
        mark.paint(painter, &style.theme, Rect::from_x_y_ranges(left..=right, y), End::Left);
        let text = right + style.len(12.0);
        let texts = [long.to_owned(), short.to_owned()];
        let (soft, room) = (style.theme.ink_soft, lanes.lengths - text);
        if let Some(line) = text::first_that_fits(painter, &texts, style.caption, soft, room) {
            let at = pos2(text, middle);
            let behind = Align2::LEFT_CENTER.anchor_size(at, line.size());
            painter.rect_filled(behind, 0.0, style.theme.ground);
            line.paint(painter, at, Align2::LEFT_CENTER);
        }
    }
}

fn say_no_bar_line(painter: &Painter, style: &Style, lanes: &Lanes, rows: Rect) {
    let left = lanes.bar_line + style.len(16.0);
    let room = lanes.lengths - left;
    let soft = style.theme.ink_soft;
    let line = Line::wrapped(painter, NO_BAR_LINE, style.body, soft, room);
    let at = pos2(left, rows.center().y);
    let behind = Align2::LEFT_CENTER.anchor_size(at, line.size());
    painter.rect_filled(behind.expand(style.len(4.0)), 0.0, style.theme.ground);
    line.paint(painter, at, Align2::LEFT_CENTER);
}
