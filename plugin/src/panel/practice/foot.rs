//! The row of buttons below a page, with the last error above it.

use crate::panel::widgets::{Flow, Pen};
use egui::{Align2, Rect, Role};

/// Buttons at the foot of `area`, each a text and a screen-reader label. Returns the remaining area, and
/// which one was pressed.
pub fn foot(
    pen: &Pen<'_>,
    area: Rect,
    message: Option<&str>,
    buttons: &[(&str, &str)],
) -> (Rect, Option<usize>) {
    let mut flow = Flow::new(pen.style, area);
    for (text, _) in buttons {
        flow.next(pen.button_size(text));
    }
    let height = flow.bottom() - area.top();
    let (mut rest, row) = area.split_top_bottom_at_y(area.bottom() - height);
    let mut flow = Flow::new(pen.style, row);
    let mut pressed = None;
    for (index, button) in buttons.iter().enumerate() {
        if flow.button(pen, *button, true) {
            pressed = Some(index);
        }
    }
    rest.max.y -= pen.len(8.0);
    if let Some(message) = message {
        let line = pen.wrapped(message, pen.style.small, pen.theme().alert, rest.width());
        let place = rest.with_min_y(rest.bottom() - line.size().y);
        pen.tell(place, "said", Role::Status, || message.to_owned());
        line.paint(place.left_top(), Align2::LEFT_TOP);
        rest.max.y = place.top() - pen.len(4.0);
    }
    (rest, pressed)
}
