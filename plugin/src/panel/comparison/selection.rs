//! Shared by comparing, cutting and files: selecting takes, and the letter of each.

use crate::command::Command;
use crate::command::action::Action;
use crate::command::comp::CompareCommand;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::button;
use crate::panel::widgets::scroll::beside_a_bar;
use crate::panel::widgets::text::{Line, first_that_fits};
use crate::panel::words;
use crate::view_model::dates::day;
use egui::{
    Align2, CornerRadius, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2,
};
use overbar_core::session::take_list::TakeRow;
use overbar_core::study::compare::{FEWEST_TAKES, MOST_TAKES};

/// The letter for the take at this index, where its title has no room.
#[must_use]
pub fn letter(index: usize) -> char {
    ('A'..='H').nth(index).unwrap_or('?')
}

/// Wraps a command as an action.
#[must_use]
pub fn command(command: CompareCommand) -> Action {
    Action::Session(Command::Compare(command))
}

/// The button that opens and closes the list of takes; returns whether it is open, which it always is
/// while too few are selected.
pub fn choosing(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    place: Rect,
) -> bool {
    let chosen = view.model.compare.selection.takes.len();
    // It stays open until it is closed, to select more.
    state.compare.choosing |= chosen < FEWEST_TAKES;
    let open = state.compare.choosing;
    let text = choose_text(view);
    let label = format!("Choose takes, {chosen} chosen");
    if button::choice(ui, style, place, (&text, &label), open).clicked() {
        state.compare.choosing = !open;
    }
    open
}

/// The text on that button.
#[must_use]
pub fn choose_text(view: &View<'_>) -> String {
    format!("Takes: {}", view.model.compare.selection.takes.len())
}

/// The list of takes to select, over `area`.
pub fn choices(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let takes = &view.snapshot.takes;
    let list = beside_a_bar(style, area);
    let text = format!(
        "Choose from {FEWEST_TAKES} to {MOST_TAKES} takes that are over; they go by the letters before them."
    );
    let head = Line::wrapped(ui.painter(), &text, style.small, style.theme.ink_soft, list.width());
    let told = head.paint(ui.painter(), list.min, Align2::LEFT_TOP);
    let response = ui.interact(told, ui.scope_id().with("how to choose"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &text));
    let below = area.with_min_y(told.bottom() + style.len(4.0));
    let pitch = button::height(style) + style.len(3.0);
    let lanes = state.compare.choices.lanes(ui, style, below, pitch, takes.len());
    for (index, lane) in lanes.each() {
        one(ui, style, lane, view, &takes[index], acts);
    }
    state.compare.choices.bar_beside(ui, style, &lanes, "takes to choose from");
}

fn one(
    ui: &Ui,
    style: &Style,
    lane: Rect,
    view: &View<'_>,
    take: &TakeRow,
    acts: &mut Vec<Action>,
) {
    let chosen = &view.model.compare.selection.takes;
    let place = chosen.iter().position(|id| *id == take.id);
    let can = !take.under_way && (place.is_some() || chosen.len() < MOST_TAKES);
    let name = view.model.called(take);
    let label = view.model.labels.get(&take.id);
    let day = label.map_or_else(String::new, |label| day(label.began).to_string());
    let sense = if can { Sense::click() } else { Sense::hover() };
    let response = ui.interact(lane, ui.scope_id().with(("choose", take.number)), sense);
    response.widget_info(|| {
        let letter = place.map_or_else(String::new, |place| format!(", {}", letter(place)));
        let label = format!("Compare {name}, take {}, {day}{letter}", take.number);
        WidgetInfo::selected(Role::CheckBox, can, place.is_some(), label)
    });
    let theme = &style.theme;
    let painter = ui.painter();
    if response.hovered() && can {
        painter.rect_filled(lane, CornerRadius::same(3), theme.raised);
    }
    let high = style.small * 1.35;
    let at = pos2(lane.left() + high * 0.5 + 2.0, lane.center().y);
    let square = Rect::from_center_size(at, vec2(high, high));
    let edge = Stroke::new(1.0, if can { theme.ink } else { theme.rule });
    let put = |x: f32, text: &str, ink, room: f32| {
        let texts = [text.to_owned()];
        if let Some(line) = first_that_fits(painter, &texts, style.small, ink, room) {
            line.paint(painter, pos2(x, lane.center().y), Align2::LEFT_CENTER);
        }
    };
    if let Some(place) = place {
        painter.rect_filled(square, CornerRadius::same(2), theme.ink);
        let line = Line::new(painter, letter(place).to_string(), style.small, theme.ground);
        line.paint(painter, square.center(), Align2::CENTER_CENTER);
    } else {
        painter.rect_stroke(square, CornerRadius::same(2), edge, StrokeKind::Inside);
    }
    let left = square.right() + style.len(8.0);
    let third = (lane.right() - left) / 2.0;
    let ink = if can { theme.ink } else { theme.ink_soft };
    put(left, &name, ink, third - style.len(6.0));
    let rest = match take.under_way {
        true => "being played".to_owned(),
        false => format!("{day}  {}", words::minutes(take.seconds.0)),
    };
    put(left + third, &rest, theme.ink_soft, third);
    button::focus_ring(painter, style, &response);
    if response.clicked() {
        acts.push(command(CompareCommand::Choose(take.id, place.is_none())));
    }
}
