//! A take in the list: a check box, a star, its name and figures.

use crate::command::comp::CompareCommand;
use crate::panel::frame::Frame;
use crate::panel::takes::columns::{figures, figures_label};
use crate::panel::takes::selection::letter;
use crate::panel::takes::star;
use crate::panel::widgets::{ColumnLayout, Pen, help};
use crate::panel::words;
use egui::{Align2, Pos2, Rect, Response, Role, Sense, Vec2, WidgetInfo, pos2, vec2};
use overbar_core::session::take_list::TakeRow;
use overbar_core::study::compare::MAX_TAKES;

/// Follows the name of a known take that the host played back.
const PLAYED_BACK: &str = " (played back)";

/// In a narrower list names are above their figures, not beside them. In points at the default size.
const STACKED: f32 = 340.0;

/// The row; returns its response.
pub fn row(f: &mut Frame<'_>, columns: &ColumnLayout, lane: Rect, take: &TakeRow) -> Response {
    let shown = take.number == f.view.snapshot.take;
    let known = f.view.model.labels.get(&take.id);
    let mut name = f.view.model.called(take);
    if known.is_some_and(|label| label.playback) {
        name.push_str(PLAYED_BACK);
    }
    let inner = lane.shrink2(vec2(0.0, 1.0)).with_min_x(lane.left() - f.len(5.0));
    let boxes = f.len(17.0).max(15.0);
    let (checked, rest) = lane.split_left_right_at_x(lane.left() + boxes);
    let (starred, pressed) = rest.split_left_right_at_x(rest.left() + star::width(f.style));
    let response = f.interact(pressed, ("take", take.number), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, shown, label(take, &name)));
    f.explain(response.clone(), help::TAKE_ROW);
    f.chosen_ground(inner, shown, &response);
    check(f, checked, take, &name);
    star::star(f, starred, take.id, &name);
    let middle = lane.center().y;
    let at = pos2(pressed.left() + f.len(3.0), middle);
    let is_tall = lane.height() >= high(f);
    let about = if is_tall { about(f, take) } else { Vec::new() };
    let is_stacked = is_tall && lane.width() < f.len(STACKED);
    let (up, down) = (vec2(0.0, -f.style.small * 0.68), vec2(0.0, f.style.small * 0.68));
    let (first, second) =
        if is_stacked || !about.is_empty() { (up, down) } else { Default::default() };
    let right = if is_stacked { pressed.right() } else { columns.name().max };
    let dot = f.len(10.0);
    let line = f.cut(name.as_str(), f.style.small, f.theme().ink, right - at.x - dot);
    let name = line.paint(at + first, Align2::LEFT_CENTER);
    if take.under_way {
        let center = pos2(name.right() + dot / 2.0, name.center().y);
        f.painter().circle_filled(center, f.len(3.0), f.theme().calm);
    }
    let beside = pos2(name.right() + dot, name.center().y);
    let (at, figures_at) = if is_stacked { (beside, second) } else { (at + second, first) };
    if !about.is_empty() {
        write_about(f, &about, at, pressed.right() - at.x);
    }
    let time = words::minutes(take.seconds.0);
    figures(f, columns, middle + figures_at.y, &time, take.figures.as_ref());
    f.focus_ring(&response);
    response
}

/// Minimum height of a row that shows more of its take.
pub fn high(pen: &Pen<'_>) -> f32 {
    pen.style.small * 2.7 + pen.len(9.0)
}

/// More about a take: its comment, tune, player and date.
fn about<'a>(f: &Frame<'a>, take: &TakeRow) -> Vec<&'a str> {
    let Some(label) = f.view.model.labels.get(&take.id) else { return Vec::new() };
    let known = [&label.remark, &label.tune, &label.player, &label.when];
    known.into_iter().map(String::as_str).filter(|text| !text.is_empty()).collect()
}

/// Writes as much of it as fits from `at` on.
fn write_about(f: &Frame<'_>, about: &[&str], at: Pos2, room: f32) {
    let texts: Vec<String> = (1..=about.len()).rev().map(|few| about[..few].join(" · ")).collect();
    let (size, soft) = (f.style.small, f.theme().ink_soft);
    match f.fitting(&texts, size, soft, room) {
        Some(line) => line.paint(at, Align2::LEFT_CENTER),
        None => f.cut(about[0], size, soft, room).paint(at, Align2::LEFT_CENTER),
    };
}

/// The checkbox for comparing and cutting; a checked take's letter is in it.
fn check(f: &mut Frame<'_>, place: Rect, take: &TakeRow, name: &str) {
    let chosen = &f.view.model.compare.selection.takes;
    let at = chosen.iter().position(|id| *id == take.id);
    let can = !take.under_way && (at.is_some() || chosen.len() < MAX_TAKES);
    let side = f.style.small * 1.2;
    let square = Rect::from_center_size(place.center(), Vec2::splat(side));
    let mark = at.map(|at| letter(at).to_string());
    let label = format!("Check {name}");
    if f.check_box(square, ("check", take.number), &label, mark.as_deref(), can).clicked() {
        f.compare(CompareCommand::Choose(take.id, at.is_none()));
    }
}

/// The button that shows starred takes only, with `text` after its star.
pub fn starred_only(pen: &Pen<'_>, place: Rect, text: &str, on: bool) -> Response {
    let response = pen.choice(place, ("", "Starred takes only"), on);
    let theme = pen.theme();
    let ink = if on { theme.ground } else { theme.ink };
    let line = pen.line(text, pen.style.small, ink);
    let star = pen.len(16.0);
    let left = place.center().x - (line.width() + star) / 2.0;
    let at = pos2(left + star * 0.32, place.center().y);
    star::paint(pen, Rect::from_center_size(at, Vec2::splat(pen.len(12.0))), true, ink);
    line.paint(pos2(left + star, place.center().y), Align2::LEFT_CENTER);
    response
}

fn label(take: &TakeRow, name: &str) -> String {
    let notes = words::count(take.notes, "note", "notes");
    let mut label = format!("{name}, {}, {notes}", words::minutes(take.seconds.0));
    if take.under_way {
        label.push_str(", being played");
    }
    match &take.figures {
        Some(figures) => label.push_str(&figures_label(figures)),
        None => label.push_str(&format!(", {}", words::ANALYSING)),
    }
    if take.by_hand > 0 {
        let set = words::count(take.by_hand, "phrase boundary", "phrase boundaries");
        label.push_str(&format!(", {set} set by hand"));
    }
    label
}
