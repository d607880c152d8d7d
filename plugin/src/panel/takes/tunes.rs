//! The known tunes, each a button that brings back its form.

use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::widgets::button;
use crate::panel::words;
use egui::{Rect, Ui, pos2};

/// Shows the next ones, if there is no room for all.
const MORE: &str = "More";

/// A row of tunes over `lane`, from where `state` is scrolled to; `now` is the current tune. Returns the
/// name that was pressed.
pub fn known(
    ui: &mut Ui,
    style: &Style,
    lane: Rect,
    (names, now): (&[String], &str),
    state: &mut PanelState,
) -> Option<String> {
    let gap = style.len(4.0);
    let height = button::height(style);
    let more = button::size(ui.painter(), style, MORE).x + gap;
    let from = if state.tunes_from < names.len() { state.tunes_from } else { 0 };
    let mut left = lane.left();
    let mut pressed = None;
    let mut shown = from;
    for name in names.get(from..).unwrap_or_default() {
        let text = words::short(name);
        let width = button::size(ui.painter(), style, &text).x;
        let is_last = shown + 1 == names.len() && from == 0;
        let room = lane.right() - if is_last { 0.0 } else { more };
        // At least one is shown, even if truncated.
        if left + width > room && shown > from {
            break;
        }
        let place = Rect::from_min_size(pos2(left, lane.top()), egui::vec2(width, height));
        let label = format!("Known tune: {name}");
        let is_now = name.trim().to_lowercase() == now.trim().to_lowercase();
        if button::choice(ui, style, place, (&text, &label), is_now).clicked() {
            pressed = Some(name.clone());
        }
        left += width + gap;
        shown += 1;
    }
    if from > 0 || shown < names.len() {
        let size = egui::vec2(more - gap, height);
        let place = Rect::from_min_size(pos2(lane.right() - size.x, lane.top()), size);
        if button::button(ui, style, place, MORE, "More tunes", true).clicked() {
            state.tunes_from = if shown < names.len() { shown } else { 0 };
        }
    }
    pressed
}
