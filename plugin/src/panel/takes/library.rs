//! The library: takes of all projects, to be fetched into this one, among them those that were cut off
//! when their host ended.

use crate::command::action::Action;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::area::child;
use crate::panel::widgets::button::{self, Flow};
use crate::panel::widgets::field::{Field, field};
use crate::panel::widgets::text::{Line, say};
use crate::panel::words;
use crate::view_model::library::{LibrarySearch, LibraryView, TAKES_PER_PAGE};
use egui::{Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use overbar_library::{ListedTake, TakeState};

const EMPTY: &str = "Nothing found in the library.";
const OF_THIS_COPY: &str = "Another copy of the plugin in this host has the library, as where both CLAP and \
    VST3 are loaded. These are the takes of this copy; at the next start they are in the library too.";
const READING: &str = "The library is being read.";

/// The view, filling `ui`.
pub fn library(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let Some(found) = view.library else { return };
    let area = ui.max_rect();
    if !state.library_asked {
        state.library_asked = true;
        acts.push(Action::Search(found.search.clone()));
    }
    let bottom = head(ui, style, area, found, state, acts);
    let mut list = area.with_min_y(bottom + style.len(5.0));
    if found.of_further_copy {
        list.min.y = told(ui, style, list, OF_THIS_COPY);
    }
    let words = match (&found.fault, found.page.rows.is_empty(), found.busy) {
        (Some(fault), ..) => fault,
        (None, true, true) => READING,
        (None, true, false) => EMPTY,
        (None, false, _) => "",
    };
    if !words.is_empty() {
        return say(ui, style, list, words);
    }
    let rows = &found.page.rows;
    let pitch = button::height(style) + style.len(4.0);
    let lanes = state.library.lanes(ui, style, list, pitch, rows.len());
    for (index, lane) in lanes.each() {
        let row = &rows[index];
        // Takes may have the same name.
        let ui = &mut child(ui, lane, &row.id.to_string());
        one(ui, style, lane, (row, found), view, acts);
    }
    state.library.bar_beside(ui, style, &lanes, "takes of the library");
}

/// A remark above the list; returns their bottom.
fn told(ui: &Ui, style: &Style, area: Rect, words: &str) -> f32 {
    let line = Line::wrapped(ui.painter(), words, style.small, style.theme.ink_soft, area.width());
    let place = line.paint(ui.painter(), area.min, Align2::LEFT_TOP);
    let response = ui.interact(place, ui.scope_id().with(words), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
    place.bottom() + style.len(5.0)
}

/// The search; returns its bottom.
fn head(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    found: &LibraryView,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) -> f32 {
    let mut flow = Flow::new(style, area);
    let mut search = found.search.clone();
    let place = flow.next(vec2(style.len(130.0), button::height(style)));
    let field_of_words =
        Field::new("library search", "Search the library", &found.search.words, "search");
    if let Some(words) = field(ui, style, place, field_of_words, &mut state.typing) {
        search = LibrarySearch { words, page: 0, ..search };
    }
    let mut press =
        |ui: &mut Ui, text: &str, enabled| flow.button(ui, style, (text, text), enabled);
    let cut_off = match (search.cut_off, found.cut_off) {
        (true, _) => "Show all takes".to_owned(),
        (false, 1) => "1 was cut off".to_owned(),
        (false, many) => format!("{many} were cut off"),
    };
    if press(ui, &cut_off, search.cut_off || found.cut_off > 0) {
        search = LibrarySearch { cut_off: !search.cut_off, page: 0, ..search };
    }
    let pages = found.page.of.div_ceil(TAKES_PER_PAGE);
    if press(ui, "Newer", search.page > 0) {
        search.page -= 1;
    }
    if press(ui, "Older", search.page + 1 < pages) {
        search.page += 1;
    }
    if press(ui, "Read again", !found.busy) || search != found.search {
        acts.push(Action::Search(search));
    }
    flow.bottom()
}

fn one(
    ui: &mut Ui,
    style: &Style,
    lane: Rect,
    (row, found): (&ListedTake, &LibraryView),
    view: &View<'_>,
    acts: &mut Vec<Action>,
) {
    let name = match (row.name.as_str(), row.state) {
        ("", TakeState::Recovered) => "cut off".to_owned(),
        ("", _) => "no name".to_owned(),
        (name, _) => name.to_owned(),
    };
    let summary = &row.summary;
    let long = words::summary(summary);
    let short = words::minutes(summary.seconds);
    let when = words::ago(found.at, row.began);
    let is_here = view.snapshot.takes.iter().any(|take| take.id == row.id);
    let text = if is_here { "It is here" } else { "Fetch" };
    let size = button::size(ui.painter(), style, text);
    let middle = lane.center().y;
    let place = Rect::from_min_size(pos2(lane.right() - size.x, middle - size.y / 2.0), size);
    let label = format!("{text}: {name}, {when}, {long}");
    if button::button(ui, style, place, text, &label, !is_here).clicked() {
        acts.push(Action::Fetch(row.id));
    }
    let told = lane.with_max_x(place.left() - style.len(8.0));
    let response = ui.interact(told, ui.scope_id().with(("row", row.id)), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{name}, {when}")));
    let painter = ui.painter();
    let theme = &style.theme;
    let names = told.width() * 0.34;
    let line = Line::cut_to(painter, name, style.small, theme.ink, names - style.len(8.0));
    line.paint(painter, told.left_center(), Align2::LEFT_CENTER);
    let left = told.left() + names;
    let texts = [format!("{when} · {long}"), format!("{when} · {short}"), when];
    let ink = theme.ink_soft;
    let room = told.right() - left;
    if let Some(line) =
        crate::panel::widgets::text::first_that_fits(painter, &texts, style.small, ink, room)
    {
        line.paint(painter, pos2(left, middle), Align2::LEFT_CENTER);
    }
}
