//! Shared by comparing, cutting and files: selecting takes, and the letter of each.

use crate::command::comp::CompareCommand;
use crate::panel::frame::{Frame, List};
use crate::panel::widgets::{Flow, beside_a_bar, button};
use crate::panel::words;
use crate::view_model::dates::day;
use egui::{Align2, CornerRadius, Rect, Role, Sense, Stroke, StrokeKind, WidgetInfo, pos2, vec2};
use overbar_core::session::take_list::TakeRow;
use overbar_core::study::compare::{FEWEST_TAKES, MOST_TAKES};

/// The letter for the take at this index, where its title has no room.
pub fn letter(index: usize) -> char {
    ('A'..='H').nth(index).unwrap_or('?')
}

/// The button that opens and closes the list of takes; returns whether it is open, which it always is
/// while too few are selected.
pub fn choosing(f: &mut Frame<'_>, flow: &mut Flow) -> bool {
    let chosen = f.view.model.compare.selection.takes.len();
    // It stays open until it is closed, to select more.
    f.state.compare.choosing |= chosen < FEWEST_TAKES;
    let open = f.state.compare.choosing;
    let (text, label) = (format!("Takes: {chosen}"), format!("Choose takes, {chosen} chosen"));
    if flow.choice(f, (&text, &label), open) {
        f.state.compare.choosing = !open;
    }
    open
}

/// The list of takes to select, over `area`.
pub fn choices(f: &mut Frame<'_>, area: Rect) {
    let takes = &f.view.snapshot.takes;
    let list = beside_a_bar(f.style, area);
    let text = format!(
        "Choose from {FEWEST_TAKES} to {MOST_TAKES} takes that are over; they go by the letters before them."
    );
    let head = f.wrapped(&text, f.style.small, f.theme().ink_soft, list.width());
    let told = head.paint(list.min, Align2::LEFT_TOP);
    f.label(told, "how to choose", || text.clone());
    let below = area.with_min_y(told.bottom() + f.len(4.0));
    let pitch = button::height(f.style) + f.len(3.0);
    let list = List::new("takes to choose from", below, (pitch, takes.len()), |state| {
        &mut state.compare.choices
    });
    f.list(list, |f, index, lane| {
        one(f, lane, &takes[index]);
    });
}

fn one(f: &mut Frame<'_>, lane: Rect, take: &TakeRow) {
    let chosen = &f.view.model.compare.selection.takes;
    let place = chosen.iter().position(|id| *id == take.id);
    let can = !take.under_way && (place.is_some() || chosen.len() < MOST_TAKES);
    let name = f.view.model.called(take);
    let label = f.view.model.labels.get(&take.id);
    let day = label.map_or_else(String::new, |label| day(label.began).to_string());
    let sense = if can { Sense::click() } else { Sense::hover() };
    let response = f.interact(lane, ("choose", take.number), sense);
    response.widget_info(|| {
        let letter = place.map_or_else(String::new, |place| format!(", {}", letter(place)));
        let label = format!("Compare {name}, take {}, {day}{letter}", take.number);
        WidgetInfo::selected(Role::CheckBox, can, place.is_some(), label)
    });
    let (painter, theme) = (f.painter(), f.theme());
    if response.hovered() && can {
        painter.rect_filled(lane, CornerRadius::same(3), theme.raised);
    }
    let high = f.style.small * 1.35;
    let at = pos2(lane.left() + high * 0.5 + 2.0, lane.center().y);
    let square = Rect::from_center_size(at, vec2(high, high));
    let edge = Stroke::new(1.0, if can { theme.ink } else { theme.rule });
    let put = |x: f32, text: &str, ink, room: f32| {
        let at = pos2(x, lane.center().y);
        f.write_fitting(&[text], (f.style.small, ink), room, at, Align2::LEFT_CENTER);
    };
    if let Some(place) = place {
        painter.rect_filled(square, CornerRadius::same(2), theme.ink);
        let line = f.line(letter(place).to_string(), f.style.small, theme.ground);
        line.paint(square.center(), Align2::CENTER_CENTER);
    } else {
        painter.rect_stroke(square, CornerRadius::same(2), edge, StrokeKind::Inside);
    }
    let left = square.right() + f.len(8.0);
    let third = (lane.right() - left) / 2.0;
    let ink = if can { theme.ink } else { theme.ink_soft };
    put(left, &name, ink, third - f.len(6.0));
    let rest = match take.under_way {
        true => "being played".to_owned(),
        false => format!("{day}  {}", words::minutes(take.seconds.0)),
    };
    put(left + third, &rest, theme.ink_soft, third);
    f.focus_ring(&response);
    if response.clicked() {
        f.compare(CompareCommand::Choose(take.id, place.is_none()));
    }
}
