//! The slim row at the top: the views, and buttons for all of them.

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::style::Style;
use crate::panel::widgets::{FlowLeft, Pen, button, help};
use crate::view_model::look::Tab;
use crate::view_model::setting::Adjustment;
use egui::{Align2, CornerRadius, Rect, Response, Role, Sense, Stroke, WidgetInfo, pos2, vec2};

/// Id of the parameter that switches to the stage view.
pub const ACROSS: &str = "across";

/// Height of the row, in points.
pub fn height(style: &Style) -> f32 {
    button::height(style) + style.len(5.0)
}

/// The row, over `row`.
pub fn tabs(f: &mut Frame<'_>, row: Rect) {
    f.painter().rect_filled(row, CornerRadius::ZERO, f.theme().ground);
    let mut left = row.left() + f.style.margin - f.len(8.0);
    for tab in Tab::ALL {
        let width = f.width(tab.name(), f.style.caption) + f.len(16.0);
        let place = Rect::from_min_size(pos2(left, row.top()), vec2(width, row.height()));
        if one(f, place, tab, f.state.look.tab == tab).clicked() {
            f.state.look.tab = tab;
        }
        left = place.right();
    }
    let high = button::height(f.style);
    let right = row.with_min_y(row.center().y - 0.5 - high / 2.0);
    let right = right.with_max_x(row.right() - f.style.margin);
    let mut flow = FlowLeft::new(right, f.len(8.0));
    let across = flow.button(f, ("Across the room", "Show it across the room"), true);
    if f.explain(across, help::setting(ACROSS).unwrap_or_default()).clicked() {
        f.set(ACROSS, Adjustment::More);
    }
    let now = ("Back to now", "Back to the take being played");
    if f.view.snapshot.looking.take.is_some() && flow.button(f, now, true).clicked() {
        f.state.note = None;
        f.ask(Command::LookAt(None));
    }
}

fn one(pen: &Pen<'_>, place: Rect, tab: Tab, open: bool) -> Response {
    let response = pen.interact(place, tab.name(), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Tab, true, open, tab.name()));
    let theme = pen.theme();
    let ink = if open || response.hovered() { theme.ink } else { theme.ink_soft };
    pen.line(tab.name(), pen.style.caption, ink).paint(place.center(), Align2::CENTER_CENTER);
    if open {
        let inner = place.shrink2(vec2(pen.len(8.0), 0.0));
        let stroke = Stroke::new(pen.len(2.0), theme.ink);
        pen.painter().hline(inner.x_range(), place.bottom() - stroke.width / 2.0, stroke);
    }
    pen.focus_ring(&response);
    response
}
