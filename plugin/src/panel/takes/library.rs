//! The library: takes of all projects, to be fetched into this one, among them those that were cut off
//! when their host ended.

use crate::command::action::Action;
use crate::panel::frame::{Frame, List};
use crate::panel::widgets::{Field, Flow, FlowLeft, Pen, button};
use crate::panel::words;
use crate::view_model::library::{LibrarySearch, LibraryView, TAKES_PER_PAGE};
use egui::{Align2, Rect, pos2, vec2};
use overbar_library::{ListedTake, TakeState};

const EMPTY: &str = "Nothing found in the library.";
const OF_THIS_COPY: &str = "Another copy of the plugin in this host has the library, as where both CLAP and \
    VST3 are loaded. These are the takes of this copy; at the next start they are in the library too.";
const READING: &str = "The library is being read.";

/// The view, filling its area.
pub fn library(f: &mut Frame<'_>) {
    let Some(found) = f.view.library else { return };
    let area = f.area();
    if !f.state.library_asked {
        f.state.library_asked = true;
        f.acts.push(Action::Search(found.search.clone()));
    }
    let bottom = head(f, area, found);
    let mut list = area.with_min_y(bottom + f.len(5.0));
    if found.of_further_copy {
        list.min.y = told(f, list, OF_THIS_COPY);
    }
    let words = match (&found.fault, found.page.rows.is_empty(), found.busy) {
        (Some(fault), ..) => fault,
        (None, true, true) => READING,
        (None, true, false) => EMPTY,
        (None, false, _) => "",
    };
    if !words.is_empty() {
        return f.say(list, words);
    }
    let rows = &found.page.rows;
    let pitch = button::height(f.style) + f.len(4.0);
    let list =
        List::new("takes of the library", list, (pitch, rows.len()), |state| &mut state.library);
    f.list(list, |f, index, lane| {
        let row = &rows[index];
        // Takes may have the same name.
        f.inside(lane, &row.id.to_string(), |f| one(f, row, found));
    });
}

/// A remark above the list; returns their bottom.
fn told(pen: &Pen<'_>, area: Rect, words: &str) -> f32 {
    let line = pen.wrapped(words, pen.style.small, pen.theme().ink_soft, area.width());
    let place = line.paint(area.min, Align2::LEFT_TOP);
    pen.label(place, words, || words.to_owned());
    place.bottom() + pen.len(5.0)
}

/// The search; returns its bottom.
fn head(f: &mut Frame<'_>, area: Rect, found: &LibraryView) -> f32 {
    let mut flow = Flow::new(f.style, area);
    let mut search = found.search.clone();
    let place = flow.next(vec2(f.len(130.0), button::height(f.style)));
    let field_of_words =
        Field::new("library search", "Search the library", &found.search.words, "search");
    if let Some(words) = f.field(place, field_of_words) {
        search = LibrarySearch { words, page: 0, ..search };
    }
    let mut press = |text: &str, enabled| flow.button(f, (text, text), enabled);
    let cut_off = match (search.cut_off, found.cut_off) {
        (true, _) => "Show all takes".to_owned(),
        (false, 1) => "1 was cut off".to_owned(),
        (false, many) => format!("{many} were cut off"),
    };
    if press(&cut_off, search.cut_off || found.cut_off > 0) {
        search = LibrarySearch { cut_off: !search.cut_off, page: 0, ..search };
    }
    let pages = found.page.of.div_ceil(TAKES_PER_PAGE);
    if press("Newer", search.page > 0) {
        search.page -= 1;
    }
    if press("Older", search.page + 1 < pages) {
        search.page += 1;
    }
    if press("Read again", !found.busy) || search != found.search {
        f.acts.push(Action::Search(search));
    }
    flow.bottom()
}

fn one(f: &mut Frame<'_>, row: &ListedTake, found: &LibraryView) {
    let lane = f.area();
    let name = match (row.name.as_str(), row.state) {
        ("", TakeState::Recovered) => "cut off".to_owned(),
        ("", _) => "no name".to_owned(),
        (name, _) => name.to_owned(),
    };
    let (long, short) = (words::summary(&row.summary), words::minutes(row.summary.seconds));
    let when = words::ago(found.at, row.began);
    let is_here = f.view.snapshot.takes.iter().any(|take| take.id == row.id);
    let text = if is_here { "It is here" } else { "Fetch" };
    let middle = lane.center().y;
    let row_of_button = lane.with_min_y(middle - button::height(f.style) / 2.0);
    let mut flow = FlowLeft::new(row_of_button, f.len(8.0));
    let label = format!("{text}: {name}, {when}, {long}");
    if flow.button(f, (text, &label), !is_here).clicked() {
        f.acts.push(Action::Fetch(row.id));
    }
    let told = lane.with_max_x(flow.right);
    f.label(told, ("row", row.id), || format!("{name}, {when}"));
    let theme = f.theme();
    let names = told.width() * 0.34;
    let line = f.cut(name, f.style.small, theme.ink, names - f.len(8.0));
    line.paint(told.left_center(), Align2::LEFT_CENTER);
    let left = told.left() + names;
    let texts = [format!("{when} · {long}"), format!("{when} · {short}"), when];
    let (font, at) = ((f.style.small, theme.ink_soft), pos2(left, middle));
    f.write_fitting(&texts, font, told.right() - left, at, Align2::LEFT_CENTER);
}
