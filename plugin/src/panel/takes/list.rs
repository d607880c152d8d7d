//! The list of takes, with the few figures it has room for.

use crate::command::Command;
use crate::panel::frame::{Frame, List};
use crate::panel::state::SortBy;
use crate::panel::takes::columns::{COLUMNS, told};
use crate::panel::takes::order::{listed, press};
use crate::panel::takes::star;
use crate::panel::widgets::{ColumnLayout, Field, button, help};
use crate::panel::words;
use crate::view_model::look::Tab;
use egui::{Align2, Rect, Role, Sense, WidgetInfo, pos2, vec2};
use overbar_core::session::take_list::TakeRow;

const NO_TAKES: &str = "No takes yet. One begins when the transport rolls and something is played.";
const NONE_FOUND: &str = "No take has these words in its name or its note.";

/// The list, filling its area.
pub fn list(f: &mut Frame<'_>) {
    let area = f.area();
    let rows = &f.view.snapshot.takes;
    if rows.is_empty() && f.view.model.can_undo == 0 {
        return f.say(area, NO_TAKES);
    }
    let columns = ColumnLayout::of_takes(f.style, area);
    head(f, &columns);
    let pitch = button::height(f.style) + f.len(7.0);
    let below = area.with_min_y(columns.heads(f.style).bottom() + f.len(3.0));
    let order = listed(rows, f.view.model, &f.state.order);
    if order.is_empty() {
        let words = if rows.is_empty() { NO_TAKES } else { NONE_FOUND };
        return f.say(below, words);
    }
    let list = List::new("takes", below, (pitch, order.len()), |state| &mut state.takes);
    f.list(list, |f, place, lane| {
        let take = &rows[order[place]];
        if one(f, &columns, lane, take) {
            let newest = usize::try_from(take.number).is_ok_and(|number| number == rows.len());
            f.ask(Command::LookAt((!newest).then_some(take.number)));
            f.state.note = None;
            f.state.look.tab = Tab::Playing;
        }
    });
}

/// The search field, and the column heads, which sort.
fn head(f: &mut Frame<'_>, columns: &ColumnLayout) {
    let area = columns.heads(f.style);
    let name = Rect::from_x_y_ranges(columns.name(), area.y_range());
    let mut search = name.with_max_x(name.right() - f.len(8.0));
    if f.view.model.can_undo > 0 {
        let place = search.with_min_x(search.right() - f.button_size(UNDO).x);
        search.max.x = place.left() - f.len(4.0);
        if f.button(place, UNDO, UNDO_LABEL, true).clicked() {
            f.ask(Command::Undo);
        }
    }
    let text = f.state.order.search.clone();
    let search_in =
        Field::new("search", "Search in names, tunes, dates and notes of takes", &text, "search");
    if let Some(words) = f.field(search, search_in) {
        f.state.order.search = words;
    }
    for (number, (long, short, _)) in COLUMNS.into_iter().enumerate() {
        let by = SortBy::Column(number);
        let place = Rect::from_x_y_ranges(columns.at(number), area.y_range());
        let response = f.interact(place, ("head", number), Sense::click());
        let chosen = f.state.order.by == by;
        response.widget_info(|| {
            let turned = match (chosen, f.state.order.descending) {
                (false, _) => "",
                (true, true) => ", the greatest first",
                (true, false) => ", the least first",
            };
            let label = format!("Sort takes by {long}{turned}");
            WidgetInfo::selected(Role::Button, true, chosen, label)
        });
        let lit = chosen || response.hovered();
        let ink = if lit { f.theme().ink } else { f.theme().ink_soft };
        columns.head(f, number, [long, short], ink);
        if f.explain(response, help::TAKES).clicked() {
            press(&mut f.state.order, by);
        }
    }
    columns.rule(f);
}

/// After the name of a known take that the host played back.
const PLAYED_BACK: &str = " (playback)";

const UNDO: &str = "Undo";
const UNDO_LABEL: &str = "Undo the last deletion, parting or joining of takes";

/// A take; returns whether it was pressed.
fn one(f: &mut Frame<'_>, columns: &ColumnLayout, lane: Rect, take: &TakeRow) -> bool {
    let shown = take.number == f.view.snapshot.take;
    let known = f.view.model.labels.get(&take.id);
    let mut name = f.view.model.called(take);
    if known.is_some_and(|label| label.playback) {
        name.push_str(PLAYED_BACK);
    }
    let with_star = star::width(f.style);
    let pressed = lane.with_min_x(lane.left() + with_star);
    let response = f.interact(pressed, ("take", take.number), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, shown, label(take, &name)));
    let theme = f.theme();
    let inner = lane.shrink2(vec2(0.0, 1.0)).with_min_x(lane.left() - f.len(6.0));
    f.chosen_ground(inner, shown, &response);
    star::star(f, lane.with_max_x(pressed.left()), take.id, &name);
    let middle = lane.center().y;
    let left = pressed.left() + f.len(3.0);
    let room = columns.name().max - left - f.len(14.0);
    let line = f.cut(name.as_str(), f.style.small, theme.ink, room);
    let name = line.paint(pos2(left, middle), Align2::LEFT_CENTER);
    if take.under_way {
        let dot = pos2(name.right() + f.len(7.0), middle);
        f.painter().circle_filled(dot, f.len(3.0), theme.calm);
    }
    let put = |column: usize, text: String| {
        let at = pos2(columns.at(column).min, middle);
        f.soft(text).paint(at, Align2::LEFT_CENTER);
    };
    put(0, words::minutes(take.seconds.0));
    match &take.figures {
        None => put(1, "being read".to_owned()),
        Some(figures) => columns.figures(f, middle, figures),
    }
    f.focus_ring(&response);
    response.clicked()
}

fn label(take: &TakeRow, name: &str) -> String {
    let mut label = format!(
        "{name}, {}, {}",
        words::minutes(take.seconds.0),
        words::count(take.notes, "note", "notes")
    );
    if take.under_way {
        label.push_str(", being played");
    }
    if let Some(figures) = &take.figures {
        label.push_str(&told(figures));
    }
    if take.by_hand > 0 {
        let set = words::count(take.by_hand, "boundary", "boundaries");
        label.push_str(&format!(", {set} set by hand"));
    }
    label
}
