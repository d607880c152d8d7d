//! A line for faults, such as lost events or a state that could not be read.

use crate::panel::playing::alert;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::text::Line;
use crate::panel::words;
use egui::{Align2, CornerRadius, Rect, Response, Role, Sense, Ui, WidgetInfo, pos2, vec2};

/// The messages, the most pressing first.
#[must_use]
pub fn messages(view: &View<'_>) -> Vec<String> {
    let lost = usize::try_from(view.dropped).unwrap_or(usize::MAX);
    (lost > 0)
        .then(|| format!("{} lost, the queue was full", words::count(lost, "event", "events")))
        .into_iter()
        .chain(view.notices.iter().cloned())
        .collect()
}

/// The messages on one line, as wide as `ui`.
pub fn notices(ui: &mut Ui, style: &Style, messages: &[String]) -> Response {
    let size = vec2(ui.available_width(), height(style));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let all = messages.join(" · ");
    response.widget_info(|| WidgetInfo::labeled(Role::Status, true, &all));

    let painter = ui.painter();
    painter.rect_filled(rect, CornerRadius::ZERO, style.theme.alert_ground);
    let side = style.small;
    let sign = Rect::from_min_size(
        pos2(rect.left() + style.margin, rect.center().y - side / 2.0),
        vec2(side * 1.1, side),
    );
    alert::paint_sign(painter, style, sign);
    let left = sign.right() + style.len(7.0);
    let room = rect.right() - style.margin - left;
    let line = Line::cut_to(painter, all, style.small, style.theme.ink, room);
    line.paint(painter, pos2(left, rect.center().y), Align2::LEFT_CENTER);
    response.on_hover_text(messages.join("\n"))
}

/// Height of the line, in points.
#[must_use]
pub fn height(style: &Style) -> f32 {
    style.small * 1.4 + style.len(6.0)
}
