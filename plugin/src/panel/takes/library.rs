//! The library: takes of all projects, including those cut off when their host ended, each with a button that
//! adds it to this project.

use crate::command::action::Action;
use crate::panel::frame::{Frame, List};
use crate::panel::widgets::{FlowLeft, Pen, button};
use crate::panel::words;
use crate::view_model::library::LibraryView;
use egui::{Align2, Rect, pos2, vec2};
use overbar_library::{ListedTake, TakeState};

const EMPTY: &str = "Your library is empty. Finished takes appear here.";
const NONE_FOUND: &str = "No takes match.";
const OF_THIS_COPY: &str = "Another copy of the plugin in this host has the library open. These are the \
    takes of this copy; at the next start they are in the library too.";
const LOADING: &str = "Loading library…";

const ADD: &str = "Add";
const IS_HERE: &str = "Added";

/// The list, filling `area`.
pub fn library(f: &mut Frame<'_>, area: Rect) {
    let Some(found) = f.view.library else { return };
    let mut list = area;
    if found.of_further_copy {
        list.min.y = message(f, list, OF_THIS_COPY);
    }
    let words = match (&found.fault, found.page.rows.is_empty(), found.busy) {
        (Some(fault), ..) => fault,
        (None, true, true) => LOADING,
        (None, true, false) => {
            let all = found.search.words.is_empty() && !found.search.cut_off;
            if all { EMPTY } else { NONE_FOUND }
        }
        (None, false, _) => "",
    };
    if !words.is_empty() {
        return f.say(list, words);
    }
    let rows = &found.page.rows;
    let pitch = (f.style.small * 2.7 + f.len(6.0)).max(button::height(f.style));
    let list = List::new("takes of the library", list, (pitch, rows.len()), |state| {
        &mut state.takes.library
    });
    f.list(list, |f, index, lane| {
        let row = &rows[index];
        // Several takes may have the same name.
        f.inside(lane, &row.id.to_string(), |f| one(f, row, found));
    });
}

/// A message above the list; returns its bottom.
fn message(pen: &Pen<'_>, area: Rect, words: &str) -> f32 {
    let line = pen.wrapped(words, pen.style.small, pen.theme().ink_soft, area.width());
    let place = line.paint(area.min, Align2::LEFT_TOP);
    pen.label(place, words, || words.to_owned());
    place.bottom() + pen.len(5.0)
}

/// The name of a take in the library.
pub fn called(row: &ListedTake) -> &str {
    match (row.name.as_str(), row.state) {
        ("", TakeState::Recovered) => "Recovered take",
        ("", _) => "Untitled",
        (name, _) => name,
    }
}

/// A take in two lines: its name and date, and what was played.
fn one(f: &mut Frame<'_>, row: &ListedTake, found: &LibraryView) {
    let lane = f.area();
    let name = called(row).to_owned();
    let (long, short) = (words::summary(&row.summary), words::minutes(row.summary.seconds));
    let when = words::ago(found.at, row.began);
    let is_here = f.view.snapshot.takes.iter().any(|take| take.id == row.id);
    let text = if is_here { IS_HERE } else { ADD };
    let row_of_button = lane.with_min_y(lane.center().y - button::height(f.style) / 2.0);
    let mut flow = FlowLeft::new(row_of_button, f.len(8.0));
    let label = match is_here {
        true => format!("{name} is in this project: {when}, {long}"),
        false => format!("Add to this project: {name}, {when}, {long}"),
    };
    if flow.button(f, (text, &label), !is_here).clicked() {
        f.acts.push(Action::Fetch(row.id));
    }
    let text_area = lane.with_max_x(flow.right);
    f.label(text_area, ("row", row.id), || format!("{name}, {when}"));
    let theme = f.theme();
    let middle = lane.center().y;
    let line = f.cut(name, f.style.small, theme.ink, text_area.width());
    line.paint(pos2(text_area.left(), middle), Align2::LEFT_BOTTOM);
    let texts = [format!("{when} · {long}"), format!("{when} · {short}"), when];
    let (font, at) = ((f.style.small, theme.ink_soft), pos2(text_area.left(), middle));
    f.write_fitting(&texts, font, text_area.width(), at + vec2(0.0, 1.0), Align2::LEFT_TOP);
}
