//! The known tunes, each a button that brings back its form.

use crate::panel::frame::Frame;
use crate::panel::widgets::button;
use crate::panel::words;
use egui::{Rect, pos2, vec2};

/// Shows the next ones, if they do not all fit.
const MORE: &str = "More";

/// A row of tunes over `lane`, from its scroll position. Returns the name that was pressed.
pub fn known(f: &mut Frame<'_>, lane: Rect) -> Option<String> {
    let (names, now) = (&f.view.model.tunes, &f.view.model.tune);
    let gap = f.len(4.0);
    let height = button::height(f.style);
    let more = f.button_size(MORE).x + gap;
    let from = if f.state.tunes_from < names.len() { f.state.tunes_from } else { 0 };
    let mut left = lane.left();
    let mut pressed = None;
    let mut shown = from;
    for name in names.get(from..).unwrap_or_default() {
        let text = words::short(name);
        let width = f.button_size(&text).x;
        let is_last = shown + 1 == names.len() && from == 0;
        let room = lane.right() - if is_last { 0.0 } else { more };
        // At least one is shown, even if truncated.
        if left + width > room && shown > from {
            break;
        }
        let place = Rect::from_min_size(pos2(left, lane.top()), vec2(width, height));
        let label = format!("Known tune: {name}");
        if f.choice(place, (&text, &label), now.is_called(name)).clicked() {
            pressed = Some(name.clone());
        }
        left += width + gap;
        shown += 1;
    }
    if from > 0 || shown < names.len() {
        let size = vec2(more - gap, height);
        let place = Rect::from_min_size(pos2(lane.right() - size.x, lane.top()), size);
        if f.button(place, MORE, "More tunes", true).clicked() {
            f.state.tunes_from = if shown < names.len() { shown } else { 0 };
        }
    }
    pressed
}
