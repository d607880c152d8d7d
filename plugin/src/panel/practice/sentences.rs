//! Text broken into rows that can be scrolled one by one, so that none is ever cut.

use crate::panel::style::Style;
use crate::panel::widgets::scroll::{Scroll, beside_a_bar};
use crate::panel::widgets::text::{Line, rows};
use egui::{Align2, Painter, Rect, Ui};

/// As many of `sentences` as fit `most` rows, and how many are left out.
pub fn as_many_as_fit(
    painter: &Painter,
    sentences: &[String],
    (size, width): (f32, f32),
    most: usize,
) -> Vec<String> {
    for left_out in 0..=sentences.len() {
        let shown = &sentences[..sentences.len() - left_out];
        let text = match (shown, left_out) {
            (_, 0) => shown.join(" "),
            ([], _) => format!("{left_out} aims."),
            _ => format!("{} And {left_out} more.", shown.join(" ")),
        };
        let rows = rows(painter, &text, size, width);
        if rows.len() <= most {
            return rows;
        }
    }
    Vec::new()
}

/// Rows of text over `area`, with a bar to scroll by; `what` they are.
pub fn scrolled(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    texts: &[String],
    what: &str,
    scroll: &mut Scroll,
) {
    let size = style.caption;
    let width = beside_a_bar(style, area).width();
    let rows: Vec<String> =
        texts.iter().flat_map(|text| rows(ui.painter(), text, size, width)).collect();
    let pitch = size * 1.45;
    let lanes = scroll.lanes(ui, style, area, pitch, rows.len());
    for (index, lane) in lanes.each() {
        let line = Line::new(ui.painter(), &rows[index], size, style.theme.ink);
        line.paint(ui.painter(), lane.min, Align2::LEFT_TOP);
    }
    scroll.bar_beside(ui, style, &lanes, what);
}
