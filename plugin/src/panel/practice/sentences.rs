//! Text wrapped into rows that scroll one by one, so that none is ever cut off.

use crate::panel::frame::{Frame, List};
use crate::panel::widgets::{Pen, beside_a_bar};
use egui::{Align2, Rect};

/// As many of `sentences` as fit into `limit` rows, and how many are left out.
pub fn as_many_as_fit(
    pen: &Pen<'_>,
    sentences: &[String],
    (size, width): (f32, f32),
    limit: usize,
) -> Vec<String> {
    for left_out in 0..=sentences.len() {
        let shown = &sentences[..sentences.len() - left_out];
        let text = match (shown, left_out) {
            (_, 0) => shown.join(" "),
            ([], _) => format!("{left_out} aims."),
            _ => format!("{} And {left_out} more.", shown.join(" ")),
        };
        let rows = pen.rows(&text, size, width);
        if rows.len() <= limit {
            return rows;
        }
    }
    Vec::new()
}

/// The height that [`scrolled`] needs to show all of `texts`.
pub fn height(pen: &Pen<'_>, area: Rect, texts: &[String]) -> f32 {
    let (size, width) = (pen.style.caption, beside_a_bar(pen.style, area).width());
    let rows = texts.iter().map(|text| pen.rows(text, size, width).len());
    rows.sum::<usize>() as f32 * size * LEADING
}

/// Row height, relative to the type size.
const LEADING: f32 = 1.45;

/// Rows of text over `area`, with a scroll bar; `what` names them for a screen reader.
pub fn scrolled(f: &mut Frame<'_>, area: Rect, texts: &[String], what: &str) {
    let size = f.style.caption;
    let width = beside_a_bar(f.style, area).width();
    let rows: Vec<String> = texts.iter().flat_map(|text| f.rows(text, size, width)).collect();
    let list =
        List::new(what, area, (size * LEADING, rows.len()), |state| &mut state.practice.scroll);
    f.list(list, |f, index, lane| {
        f.line(&rows[index], size, f.theme().ink).paint(lane.min, Align2::LEFT_TOP);
    });
}
