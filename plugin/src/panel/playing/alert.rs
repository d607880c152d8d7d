//! An alert, in words that a player can read across the room.

use crate::panel::style::Style;
use crate::panel::widgets::{Line, Pen, help};
use crate::panel::words;
use egui::{Align2, CornerRadius, Pos2, Rect, Role, Shape, Stroke, WidgetInfo, pos2, vec2};
use overbar_core::phrase::alerts::Alert;
use std::time::Duration;

/// Interval between frames while an alert fades in.
const FRAME: Duration = Duration::from_millis(33);

/// Height of the panel's foot, with and without an alert, in points.
pub fn height(style: &Style) -> f32 {
    (style.large + style.body) * 1.3 + style.len(18.0)
}

/// The `first` alert in full and the `others` in short, as wide as its area. Its background fades in as
/// `arrived` goes from 0 to 1; nothing ever blinks.
pub fn alert(pen: &mut Pen<'_>, first: &Alert, others: &[Alert], arrived: f32) {
    let size = vec2(pen.ui.available_width(), height(pen.style));
    let (rect, response) = pen.ui.allocate_exact_size(size, help::sense());
    let also: Vec<String> = others.iter().map(words::alert_in_short).collect();
    response.widget_info(|| {
        let mut label = format!("alert: {} {}", first.heard(), first.advice());
        if !also.is_empty() {
            label.push_str(&format!(" Also: {}.", also.join(", ")));
        }
        WidgetInfo::labeled(Role::Alert, true, label)
    });

    let (painter, theme) = (pen.painter(), pen.theme());
    let ground = theme.raised.lerp_to_gamma(theme.alert_ground, arrived);
    painter.rect_filled(rect, CornerRadius::ZERO, ground);
    let edge = Rect::from_min_size(rect.min, vec2(rect.width() * arrived, pen.len(2.0)));
    painter.rect_filled(edge, CornerRadius::ZERO, theme.alert);
    if arrived < 1.0 {
        pen.ui.ctx().request_repaint_after(FRAME);
    }
    let sign = Rect::from_min_size(
        pos2(rect.left() + pen.style.margin, rect.center().y - pen.len(13.0)),
        vec2(pen.len(29.0), pen.len(26.0)),
    );
    paint_sign(pen, sign);
    let left = sign.right() + pen.len(13.0);
    let right = rect.right() - pen.style.margin;
    let heard = heard(pen, first, right - left);
    let advice = pen.line(first.advice(), pen.style.body, theme.alert);
    let total = heard.size().y + advice.size().y;
    let at = pos2(left, rect.center().y - total / 2.0);
    let heard = heard.paint(at, Align2::LEFT_TOP);
    let advice = advice.paint(heard.left_bottom(), Align2::LEFT_TOP);
    let free = right - heard.right().max(advice.right()) - pen.len(24.0);
    paint_also(pen, &also, pos2(right, rect.center().y), free);
    pen.explain(response, help::ALERT);
}

/// As large as fits.
fn heard(pen: &Pen<'_>, alert: &Alert, room: f32) -> Line {
    let ink = pen.theme().ink;
    let least = 15.0_f32.min(pen.style.large);
    let strong = |size| pen.strong(alert.heard(), size, ink);
    let fitting = [pen.style.large, least].into_iter().map(strong).find(|l| l.width() <= room);
    fitting.unwrap_or_else(|| pen.cut(alert.heard(), least, ink, room))
}

/// The other alerts, one below the other, or their number.
fn paint_also(pen: &Pen<'_>, also: &[String], at: Pos2, room: f32) {
    if also.is_empty() {
        return;
    }
    let texts = [
        also.iter().map(|words| format!("also {words}")).collect::<Vec<_>>().join("\n"),
        format!("and {} more alert{}", also.len(), if also.len() == 1 { "" } else { "s" }),
        format!("+{}", also.len()),
    ];
    let ink = pen.theme().ink;
    pen.write_fitting(&texts, (pen.style.caption, ink), room, at, Align2::RIGHT_CENTER);
}

/// A triangle with an exclamation mark that fills `place`.
pub fn paint_sign(pen: &Pen<'_>, place: Rect) {
    let (painter, color) = (pen.painter(), pen.theme().alert);
    let wide = (place.height() * 0.1).max(1.2);
    let stroke = Stroke::new(wide, color);
    let inner = place.shrink(wide / 2.0);
    let corners = vec![inner.center_top(), inner.right_bottom(), inner.left_bottom()];
    painter.add(Shape::closed_line(corners, stroke));
    let x = place.center().x;
    let at = |part: f32| egui::lerp(place.y_range(), part);
    painter.line_segment([pos2(x, at(0.36)), pos2(x, at(0.64))], stroke);
    painter.circle_filled(pos2(x, at(0.79)), wide * 0.62, color);
}
