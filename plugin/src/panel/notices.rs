//! A line for faults, such as lost events or a state that could not be read.

use crate::panel::playing::alert;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::Pen;
use crate::panel::words;
use egui::{Align2, CornerRadius, Rect, Role, Sense, WidgetInfo, pos2, vec2};

/// The messages, the most pressing first.
pub fn messages(view: &View<'_>) -> Vec<String> {
    let lost = usize::try_from(view.dropped).unwrap_or(usize::MAX);
    (lost > 0)
        .then(|| {
            format!(
                "{} dropped (computer overloaded)",
                words::count(lost, "MIDI event", "MIDI events")
            )
        })
        .into_iter()
        .chain(view.notices.iter().cloned())
        .collect()
}

/// The messages on one line, as wide as its area.
pub fn notices(pen: &mut Pen<'_>, messages: &[String]) {
    let size = vec2(pen.ui.available_width(), height(pen.style));
    let (rect, response) = pen.ui.allocate_exact_size(size, Sense::hover());
    let all = messages.join(" · ");
    response.widget_info(|| WidgetInfo::labeled(Role::Status, true, &all));

    pen.painter().rect_filled(rect, CornerRadius::ZERO, pen.theme().alert_ground);
    let side = pen.style.small;
    let sign = Rect::from_min_size(
        pos2(rect.left() + pen.style.margin, rect.center().y - side / 2.0),
        vec2(side * 1.1, side),
    );
    alert::paint_sign(pen, sign);
    let left = sign.right() + pen.len(7.0);
    let room = rect.right() - pen.style.margin - left;
    let line = pen.cut(all, pen.style.small, pen.theme().ink, room);
    line.paint(pos2(left, rect.center().y), Align2::LEFT_CENTER);
    response.on_hover_text(messages.join("\n"));
}

/// Height of the line, in points.
pub fn height(style: &Style) -> f32 {
    style.small * 1.4 + style.len(6.0)
}
