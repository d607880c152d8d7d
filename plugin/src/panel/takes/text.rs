//! Rows of text in the views of takes.

use crate::panel::widgets::Pen;
use egui::{Align2, Rect};

/// Height of a row of text.
pub fn row(pen: &Pen<'_>) -> f32 {
    pen.style.small * 1.35
}

/// A caption above a part of a view; returns the area below.
pub fn caption(pen: &Pen<'_>, area: Rect, text: &str) -> Rect {
    pen.soft(text).paint(area.min, Align2::LEFT_TOP);
    area.with_min_y((area.top() + row(pen) + pen.len(2.0)).min(area.bottom()))
}
