//! The starts by beat of compared takes, side by side.

use crate::panel::frame::Frame;
use crate::panel::playing::entries::{columns, ticks_height};
use crate::panel::takes::selection::letter;
use crate::panel::takes::text::caption;
use crate::panel::widgets::{help, split_top};
use crate::panel::words;
use crate::view_model::comparison::TakeComparison;
use egui::{Align2, Rect};

/// Minimum and maximum height of the pictures, and minimum and maximum width of each, in points at the
/// default size.
pub const HEIGHTS: (f32, f32) = (84.0, 150.0);
const WIDTHS: (f32, f32) = (70.0, 300.0);

/// The pictures from the top of `area`, `height` points high, none if 0; returns the area below.
pub fn starts(f: &mut Frame<'_>, area: Rect, against: &TakeComparison, height: f32) -> Rect {
    let takes = &against.comparison.takes;
    let wide = (area.width() / takes.len().max(1) as f32).min(f.len(WIDTHS.1));
    if height <= 0.0 || wide < f.len(WIDTHS.0) {
        return area;
    }
    let (place, below) = split_top(area, height);
    let under = caption(f, place, "starts by beat");
    let metre = f.view.metre();
    let bar = (f.view.snapshot.pulses_in(metre), f.view.snapshot.division_of(metre));
    for (index, take) in takes.iter().enumerate() {
        let left = under.left() + index as f32 * wide;
        let cell = Rect::from_x_y_ranges(left..=left + wide - f.len(14.0), under.y_range());
        let plot = cell.with_max_y(cell.bottom() - ticks_height(f.style) - f.len(10.0));
        let name = f.small(letter(index).to_string());
        let name = name.paint(cell.left_top(), Align2::LEFT_TOP);
        let plot = plot.with_min_x(name.right() + f.len(6.0));
        let response = f.explained(cell, ("starts", index), || {
            let each = take.figures.entries.iter().map(|entry| words::entry(entry, bar.1));
            let each: Vec<String> = each.collect();
            format!("starts by beat of {}: {}", take.name, each.join(", "))
        });
        columns(f, plot, &take.figures.entries, bar);
        f.explain(response, help::ENTRIES);
    }
    below
}
