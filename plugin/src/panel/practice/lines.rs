//! Text broken into rows that can be scrolled one by one, so that none is ever cut.

use super::super::scroll::Scroll;
use super::super::style::Style;
use super::super::text::Line;
use egui::{Align2, Color32, FontId, Painter, Rect, Ui, pos2};

/// `text` in rows no wider than `width`.
pub fn rows(painter: &Painter, text: &str, size: f32, width: f32) -> Vec<String> {
    let font = FontId::proportional(size);
    let galley = painter.layout(text.to_owned(), font, Color32::WHITE, width.max(size));
    let rows = galley.rows.iter().map(|row| row.text().trim().to_owned());
    rows.filter(|row| !row.is_empty()).collect()
}

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
    let side = style.len(14.0);
    let size = style.caption;
    let width = area.width() - side;
    let rows: Vec<String> =
        texts.iter().flat_map(|text| rows(ui.painter(), text, size, width)).collect();
    let pitch = size * 1.45;
    let fit = (area.height() / pitch).max(1.0) as usize;
    let all = 0..rows.len();
    scroll.wheel(ui, area, pitch, &all, fit);
    let sight = scroll.sight(all.clone(), fit);
    for (place, row) in rows.get(sight).unwrap_or_default().iter().enumerate() {
        let at = pos2(area.left(), area.top() + place as f32 * pitch);
        let line = Line::new(ui.painter(), row, size, style.theme.ink);
        line.paint(ui.painter(), at, Align2::LEFT_TOP);
    }
    let bar = Rect::from_x_y_ranges(area.right() - side * 0.8..=area.right(), area.y_range());
    scroll.bar(ui, style, bar, what, &all, fit);
}
