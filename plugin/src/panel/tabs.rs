//! The slim row at the top: the views, and buttons for all of them.

use crate::command::Command;
use crate::command::action::Action;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::text::Line;
use crate::panel::widgets::{button, help};
use crate::view_model::look::Tab;
use crate::view_model::setting::Adjustment;
use egui::{Align2, CornerRadius, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

/// Id of the parameter that switches to the stage view.
pub const ACROSS: &str = "across";

/// Height of the row, in points.
#[must_use]
pub fn height(style: &Style) -> f32 {
    button::height(style) + style.len(5.0)
}

/// The row, over `row`.
pub fn tabs(
    ui: &mut Ui,
    style: &Style,
    row: Rect,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    ui.painter().rect_filled(row, CornerRadius::ZERO, style.theme.ground);
    let mut left = row.left() + style.margin - style.len(8.0);
    for tab in Tab::ALL {
        let width = Line::new(ui.painter(), tab.name(), style.caption, style.theme.ink).width();
        let place =
            Rect::from_min_size(pos2(left, row.top()), vec2(width + style.len(16.0), row.height()));
        if one(ui, style, place, tab, state.look.tab == tab).clicked() {
            state.look.tab = tab;
        }
        left = place.right();
    }
    let mut right = row.right() - style.margin;
    let mut from_the_right = |ui: &mut Ui, text: &str, label: &str| {
        let size = button::size(ui.painter(), style, text);
        let place = Rect::from_center_size(pos2(right - size.x / 2.0, row.center().y - 0.5), size);
        right = place.left() - style.len(8.0);
        button::button(ui, style, place, text, label, true)
    };
    let across = from_the_right(ui, "Across the room", "Show it across the room");
    if help::explain(ui, style, across, help::setting(ACROSS).unwrap_or_default()).clicked() {
        acts.push(Action::Set { id: ACROSS.to_owned(), to: Adjustment::More });
    }
    if view.snapshot.looking.take.is_some()
        && from_the_right(ui, "Back to now", "Back to the take being played").clicked()
    {
        state.note = None;
        acts.push(Action::Session(Command::LookAt(None)));
    }
}

fn one(ui: &Ui, style: &Style, place: Rect, tab: Tab, open: bool) -> Response {
    let response = ui.interact(place, ui.scope_id().with(tab.name()), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Tab, true, open, tab.name()));
    let theme = &style.theme;
    let ink = if open || response.hovered() { theme.ink } else { theme.ink_soft };
    let painter = ui.painter();
    let line = Line::new(painter, tab.name(), style.caption, ink);
    line.paint(painter, place.center(), Align2::CENTER_CENTER);
    if open {
        let inner = place.shrink2(vec2(style.len(8.0), 0.0));
        let stroke = Stroke::new(style.len(2.0), theme.ink);
        painter.hline(inner.x_range(), place.bottom() - stroke.width / 2.0, stroke);
    }
    button::focus_ring(painter, style, &response);
    response
}
