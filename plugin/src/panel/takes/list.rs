//! The list of takes, with the few figures it has room for.

use crate::command::Command;
use crate::command::action::Action;
use crate::panel::state::{PanelState, SortBy};
use crate::panel::style::Style;
use crate::panel::takes::columns::{COLUMNS, ColumnLayout, told};
use crate::panel::takes::order::{listed, press};
use crate::panel::takes::star;
use crate::panel::view::View;
use crate::panel::widgets::field::{Field, field};
use crate::panel::widgets::scroll::beside_a_bar;
use crate::panel::widgets::text::{Line, say};
use crate::panel::widgets::{button, help};
use crate::panel::words;
use crate::view_model::look::Tab;
use egui::{Align2, CornerRadius, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use overbar_core::session::take_list::TakeRow;

const NO_TAKES: &str = "No takes yet. One begins when the transport rolls and something is played.";
const NONE_FOUND: &str = "No take has these words in its name or its note.";

/// The list, filling `ui`.
pub fn list(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let rows = &view.snapshot.takes;
    if rows.is_empty() && view.model.can_undo == 0 {
        return say(ui, style, area, NO_TAKES);
    }
    let columns = ColumnLayout::new(beside_a_bar(style, area));
    let head = head(ui, style, &columns, view, state, acts);
    let pitch = button::height(style) + style.len(7.0);
    let below = area.with_min_y(head.bottom() + style.len(3.0));
    let order = listed(rows, view.model, &state.order);
    if order.is_empty() {
        let words = if rows.is_empty() { NO_TAKES } else { NONE_FOUND };
        return say(ui, style, below, words);
    }
    let lanes = state.takes.lanes(ui, style, below, pitch, order.len());
    for (place, lane) in lanes.each() {
        let take = &rows[order[place]];
        let shown = take.number == view.snapshot.take;
        if one(ui, style, &columns, lane, (take, shown), view, acts).clicked() {
            let newest = usize::try_from(take.number).is_ok_and(|number| number == rows.len());
            acts.push(Action::Session(Command::LookAt((!newest).then_some(take.number))));
            state.note = None;
            state.look.tab = Tab::Playing;
        }
    }
    state.takes.bar_beside(ui, style, &lanes, "takes");
}

/// The search field, and the column heads, which sort.
fn head(
    ui: &mut Ui,
    style: &Style,
    columns: &ColumnLayout,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) -> Rect {
    let list = columns.list();
    let area = list.with_max_y(list.top() + style.small * 1.5);
    let name = Rect::from_x_y_ranges(columns.name(), area.y_range());
    let undo = button::size(ui.painter(), style, UNDO);
    let mut search = name.with_max_x(name.right() - style.len(8.0));
    if view.model.can_undo > 0 {
        let place = Rect::from_min_size(
            pos2(search.right() - undo.x, area.top()),
            vec2(undo.x, area.height()),
        );
        search.max.x = place.left() - style.len(4.0);
        if button::button(ui, style, place, UNDO, UNDO_LABEL, true).clicked() {
            acts.push(Action::Session(Command::Undo));
        }
    }
    let text = state.order.search.clone();
    let search_in =
        Field::new("search", "Search in names, tunes, dates and notes of takes", &text, "search");
    if let Some(words) = field(ui, style, search, search_in, &mut state.typing) {
        state.order.search = words;
    }
    for (number, (long, short, _)) in COLUMNS.into_iter().enumerate() {
        let by = SortBy::Column(number);
        let place = Rect::from_x_y_ranges(columns.at(number), area.y_range());
        let response = ui.interact(place, ui.scope_id().with(("head", number)), Sense::click());
        let chosen = state.order.by == by;
        response.widget_info(|| {
            let turned = match (chosen, state.order.descending) {
                (false, _) => "",
                (true, true) => ", the greatest first",
                (true, false) => ", the least first",
            };
            let label = format!("Sort takes by {long}{turned}");
            WidgetInfo::selected(Role::Button, true, chosen, label)
        });
        let lit = chosen || response.hovered();
        let ink = if lit { style.theme.ink } else { style.theme.ink_soft };
        columns.head(ui.painter(), style, number, (long, short), area.top(), ink);
        let response = help::explain(ui, style, response, help::TAKES);
        if response.clicked() {
            press(&mut state.order, by);
        }
    }
    let rule = Stroke::new(1.0, style.theme.rule);
    ui.painter().hline(list.x_range(), area.bottom() + 1.0, rule);
    area
}

/// After the name of a known take that the host played back.
const PLAYED_BACK: &str = " (playback)";

const UNDO: &str = "Undo";
const UNDO_LABEL: &str = "Undo the last deletion, parting or joining of takes";

fn one(
    ui: &mut Ui,
    style: &Style,
    columns: &ColumnLayout,
    lane: Rect,
    (take, shown): (&TakeRow, bool),
    view: &View<'_>,
    acts: &mut Vec<Action>,
) -> Response {
    let known = view.model.labels.get(&take.id);
    let mut name = view.model.called(take);
    if known.is_some_and(|label| label.playback) {
        name.push_str(PLAYED_BACK);
    }
    let with_star = star::width(style);
    let pressed = lane.with_min_x(lane.left() + with_star);
    let response = ui.interact(pressed, ui.scope_id().with(("take", take.number)), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, shown, label(take, &name)));
    let theme = &style.theme;
    let inner = lane.shrink2(vec2(0.0, 1.0));
    if shown || response.hovered() {
        let from_left = inner.with_min_x(inner.left() - style.len(6.0));
        ui.painter().rect_filled(from_left, CornerRadius::same(3), theme.raised);
    }
    if shown {
        let tick = Rect::from_min_size(
            inner.min - vec2(style.len(6.0), 0.0),
            vec2(style.len(3.0), inner.height()),
        );
        ui.painter().rect_filled(tick, CornerRadius::ZERO, theme.ink);
    }
    let given = known.is_some_and(|label| label.star);
    if star::star(ui, style, lane.with_max_x(pressed.left()), (take.id, &name), given) {
        acts.push(Action::Session(Command::Star(take.id, !given)));
    }
    let painter = ui.painter();
    let middle = lane.center().y;
    let left = pressed.left() + style.len(3.0);
    let room = columns.name().max - left - style.len(14.0);
    let line = Line::cut_to(painter, name.as_str(), style.small, theme.ink, room);
    let name = line.paint(painter, pos2(left, middle), Align2::LEFT_CENTER);
    if take.under_way {
        let dot = pos2(name.right() + style.len(7.0), middle);
        painter.circle_filled(dot, style.len(3.0), theme.calm);
    }
    let put = |x: f32, text: String| {
        let line = Line::new(painter, text, style.small, theme.ink_soft);
        line.paint(painter, pos2(x, middle), Align2::LEFT_CENTER);
    };
    put(columns.at(0).min, words::minutes(take.seconds.0));
    match &take.figures {
        None => put(columns.at(1).min, "being read".to_owned()),
        Some(figures) => columns.figures(painter, style, middle, figures),
    }
    button::focus_ring(painter, style, &response);
    response
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
