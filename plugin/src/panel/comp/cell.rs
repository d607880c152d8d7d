//! A cell of the sheet: a take's phrases in one column.

use crate::panel::widgets::{End, Mark, Pen};
use crate::view_model::comp_sheet::{CompSheet, SheetPhrase, SheetRow};
use egui::{CornerRadius, Rect, Response, Role, Sense, Stroke, StrokeKind, WidgetInfo};
use overbar_core::study::comp::Column;

/// The cell at a row and a column of the sheet, over `place`.
pub fn cell(
    pen: &Pen<'_>,
    place: Rect,
    sheet: &CompSheet,
    (row, index): (usize, usize),
) -> Response {
    let (lane, column) = (&sheet.rows[row], &sheet.columns[index]);
    let strokes = lane.cells.get(index).map_or(&[][..], Vec::as_slice);
    let chosen = sheet.choice.get(index) == Some(&row);
    let label = label(&lane.title, column, strokes, chosen);
    let id = ("cell", lane.title.as_str(), column.first_bar);
    let response = pen.interact(place, id, Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, chosen, &label));
    let (painter, theme) = (pen.painter(), pen.theme());
    let ground = if chosen { theme.raised } else { theme.ground };
    painter.rect_filled(place, CornerRadius::same(2), ground);
    phrases_of(pen, place, sheet, (row, index), chosen);
    let edge = match chosen {
        true => Stroke::new(pen.len(2.0).max(1.6), theme.ink),
        false if response.hovered() => Stroke::new(1.0, theme.ink_soft),
        false => Stroke::new(1.0, theme.rule),
    };
    painter.rect_stroke(place, CornerRadius::same(2), edge, StrokeKind::Inside);
    if chosen {
        let tick = Rect::from_min_size(place.min, egui::vec2(pen.len(6.0), pen.len(6.0)));
        painter.rect_filled(tick, CornerRadius::ZERO, theme.ink);
    }
    pen.label_tooltip(&response, &label);
    pen.focus_ring(&response);
    response
}

/// A take's phrases in a column; dimmed if it is not in the comp.
pub fn phrases_of(
    pen: &Pen<'_>,
    place: Rect,
    sheet: &CompSheet,
    (row, index): (usize, usize),
    lit: bool,
) {
    let (Some(lane), Some(column)) = (sheet.rows.get(row), sheet.columns.get(index)) else {
        return;
    };
    let strokes = lane.cells.get(index).map_or(&[][..], Vec::as_slice);
    let (theme, mut painter) = (pen.theme(), pen.painter().clone());
    if !lit {
        painter.multiply_opacity(DIM);
    }
    let bar = place.width() / column.bars.max(1) as f32;
    for line in 1..column.bars {
        let x = place.left() + line as f32 * bar;
        painter.vline(x, place.y_range().shrink(2.0), Stroke::new(1.0, theme.rule));
    }
    let thick = (place.height() * 0.34).clamp(4.0, pen.len(15.0));
    let middle = place.center().y;
    let y = middle - thick / 2.0..=middle + thick / 2.0;
    let on_from_before = carried_over(lane, sheet, index);
    if on_from_before > 0.0 {
        let right = (place.left() + on_from_before as f32 * bar).min(place.right());
        let tail = Rect::from_x_y_ranges(place.left()..=right, middle - 1.5..=middle + 1.5);
        painter.rect_filled(tail, CornerRadius::ZERO, theme.ink_soft);
    }
    for stroke in strokes {
        let left = place.left() + (stroke.at as f32 * bar).max(1.0);
        let end = place.left() + (stroke.at + stroke.bars) as f32 * bar;
        // A short phrase keeps its shape; a long one continues in the next cell.
        let right = end.max(left + thick * 0.9).min(place.right() - 1.0);
        let left = left.min(right - thick * 0.9);
        let bar = Rect::from_x_y_ranges(left..=right, y.clone());
        Mark::of(stroke.class).paint(&painter, theme, bar, End::Left);
    }
}

/// Opacity of cells that are not in the comp. Chosen by eye.
const DIM: f32 = 0.4;

/// How many bars a phrase from an earlier column reaches into column `index`.
fn carried_over(lane: &SheetRow, sheet: &CompSheet, index: usize) -> f64 {
    let here = &sheet.columns[index];
    let before = lane.cells.iter().zip(&sheet.columns).take(index);
    let ends = before.flat_map(|(strokes, column)| {
        let from_here = (here.first_bar - column.first_bar) as f64;
        strokes.iter().map(move |stroke| stroke.at + stroke.bars - from_here)
    });
    ends.fold(0.0, f64::max)
}

fn label(title: &str, column: &Column, strokes: &[SheetPhrase], chosen: bool) -> String {
    let mut label = format!("{}, {title}: ", column.label);
    match strokes {
        [] => label.push_str("no phrase starts"),
        strokes => {
            let places: Vec<String> = strokes
                .iter()
                .map(|s| format!("starts on {}, {:.1} bars", s.place, s.bars))
                .collect();
            label.push_str(&places.join("; "));
        }
    }
    if chosen {
        label.push_str("; in the comp");
    }
    label
}
