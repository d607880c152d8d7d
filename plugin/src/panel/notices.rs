//! A line for problems, such as lost events or an unreadable state.

use crate::command::action::Action;
use crate::panel::frame::Frame;
use crate::panel::playing::alert;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::words;
use egui::{Align2, CornerRadius, Rect, Role, Sense, WidgetInfo, pos2, vec2};

/// The messages, the most urgent first.
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
        .filter(|message| !view.dismissed.contains(message))
        .collect()
}

/// The messages on one line, as wide as its area, each with a button to dismiss it. Those that do not fit
/// wait until earlier ones are dismissed.
pub fn notices(f: &mut Frame<'_>, messages: &[String]) {
    let size = vec2(f.ui.available_width(), height(f.style));
    let (rect, response) = f.ui.allocate_exact_size(size, Sense::hover());
    let all = messages.join(" · ");
    response.widget_info(|| WidgetInfo::labeled(Role::Status, true, &all));
    response.on_hover_text(messages.join("\n"));

    f.painter().rect_filled(rect, CornerRadius::ZERO, f.theme().alert_ground);
    let side = f.style.small;
    let middle = rect.center().y;
    let at = pos2(rect.left() + f.style.margin, middle - side / 2.0);
    let sign = Rect::from_min_size(at, vec2(side * 1.1, side));
    alert::paint_sign(f, sign);
    let (mut left, right) = (sign.right() + f.len(7.0), rect.right() - f.style.margin);
    let (gap, between) = (f.len(5.0), f.len(14.0));
    let cross = rect.height() - f.len(5.0);
    for (index, message) in messages.iter().enumerate() {
        let after = match messages.len() - index - 1 {
            0 => 0.0,
            more => f.widest([format!("+{more}")]) + between,
        };
        let room = right - left - after - gap - cross;
        if index > 0 && f.widest([message]) > room {
            let more = messages.len() - index;
            f.small(format!("+{more}")).paint(pos2(left, middle), Align2::LEFT_CENTER);
            return;
        }
        let line = f.cut(message, f.style.small, f.theme().ink, room);
        let text = line.paint(pos2(left, middle), Align2::LEFT_CENTER);
        let place = pos2(text.right() + gap + cross / 2.0, middle);
        let place = Rect::from_center_size(place, vec2(cross, cross));
        if f.cross(place, &format!("Dismiss: {message}")).on_hover_text("Dismiss").clicked() {
            f.acts.push(Action::Dismiss(message.clone()));
        }
        left = place.right() + between;
    }
}

/// Height of the line, in points.
pub fn height(style: &Style) -> f32 {
    style.small * 1.4 + style.len(6.0)
}
