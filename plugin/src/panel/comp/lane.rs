//! The comp as a lane: the chosen cells in sequence, merged into blocks by take.

use crate::panel::comp::cell::phrases_of;
use crate::panel::takes::selection::letter;
use crate::panel::widgets::Pen;
use crate::panel::words;
use crate::view_model::comp_sheet::CompSheet;
use egui::{Align2, CornerRadius, Rect, Stroke, StrokeKind, pos2};
use std::ops::Range;

/// The visible columns over `lane`, each `wide` points; its name is at the left of `names`.
pub fn lane(
    pen: &Pen<'_>,
    (names, lane): (Rect, Rect),
    sheet: &CompSheet,
    (columns, wide): (Range<usize>, f32),
) {
    let line = pen.small("Comp");
    line.paint(names.left_center(), Align2::LEFT_CENTER);
    let takes = sheet.choice.windows(2).filter(|pair| pair[0] != pair[1]).count() + 1;
    pen.label(names, "comp lane", || {
        format!("the comp, in {}", words::count(takes, "block", "blocks"))
    });
    let gap = pen.len(3.0);
    let mut begin = columns.start;
    for index in columns.clone() {
        let ends =
            index + 1 == columns.end || sheet.choice.get(index) != sheet.choice.get(index + 1);
        let left = lane.left() + (index - columns.start) as f32 * wide;
        let cell = Rect::from_x_y_ranges(left..=left + wide - gap, lane.y_range());
        let Some(row) = sheet.choice.get(index).copied() else { continue };
        // Phrases are below the letter of their take.
        let below = cell.with_min_y(cell.top() + pen.style.small);
        phrases_of(pen, below, sheet, (row, index), true);
        if !ends {
            continue;
        }
        let from = lane.left() + (begin - columns.start) as f32 * wide;
        let block = Rect::from_x_y_ranges(from..=cell.right(), lane.y_range());
        let edge = Stroke::new(1.0, pen.theme().ink_soft);
        pen.painter().rect_stroke(block, CornerRadius::same(3), edge, StrokeKind::Inside);
        let at = pos2(block.left() + pen.len(3.0), block.top() + 1.0);
        pen.small(letter(row).to_string()).paint(at, Align2::LEFT_TOP);
        begin = index + 1;
    }
}
