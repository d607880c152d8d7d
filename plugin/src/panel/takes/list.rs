//! The list of takes: source buttons, a search field, the takes, and actions for the checked ones.

use crate::command::action::Action;
use crate::panel::frame::{Frame, List};
use crate::panel::state::takes::{SortBy, Source};
use crate::panel::takes::columns::{Figure, figures_of};
use crate::panel::takes::order::{listed, press};
use crate::panel::takes::selection::select;
use crate::panel::takes::{actions, library, menu, row, take_by_take, undo};
use crate::panel::widgets::{ColumnLayout, Field, Flow, Pen, beside_a_bar, button, help, keys};
use crate::view_model::library::LibrarySearch;
use egui::{Align2, Rect, Role, Sense, WidgetInfo, pos2};

const NO_TAKES: &str = "No takes yet. Start playback and play, or import MIDI files.";
const NONE_FOUND: &str = "No takes match.";

/// The list, filling its area.
pub fn list(f: &mut Frame<'_>) {
    let area = f.area();
    let sources = sources(f, area);
    let search = search(f, area.with_min_y(sources + f.len(5.0)));
    let below = area.with_min_y(search + f.len(5.0));
    let foot = actions::height(f, below);
    let (body, foot) = below.split_top_bottom_at_y(below.bottom() - foot);
    let body = body.with_max_y(body.bottom() - f.len(6.0));
    f.inside(foot, "actions", actions::actions);
    match f.state.takes.source {
        Source::Project => of_project(f, body),
        Source::Library | Source::Recovered => library::library(f, body),
    }
}

/// The source buttons; returns their bottom.
fn sources(f: &mut Frame<'_>, area: Rect) -> f32 {
    // The number of recovered takes is known once the library has been searched.
    if let Some(found) = f.view.library.filter(|_| !f.state.takes.library_asked) {
        f.state.takes.library_asked = true;
        f.acts.push(Action::Search(found.search.clone()));
    }
    let mut flow = Flow::new(f.style, area);
    let recovered = f.view.library.map_or(0, |library| library.cut_off);
    let mut choices =
        vec![(Source::Project, "This project".to_owned()), (Source::Library, "Library".to_owned())];
    if recovered > 0 || f.state.takes.source == Source::Recovered {
        choices.push((Source::Recovered, format!("Recovered {recovered}")));
    }
    for (source, text) in choices {
        let chosen = f.state.takes.source == source;
        if flow.choice(f, (&text, &format!("Takes: {text}")), chosen) {
            f.state.takes.source = source;
            if let Some(found) = f.view.library.filter(|_| source != Source::Project) {
                let cut_off = source == Source::Recovered;
                let search = LibrarySearch { cut_off, page: 0, ..found.search.clone() };
                f.state.takes.library_asked = true;
                f.acts.push(Action::Search(search));
            }
        }
    }
    flow.bottom()
}

const ONLY: &str = "only";

/// The search, and the button for starred takes; returns their bottom.
fn search(f: &mut Frame<'_>, area: Rect) -> f32 {
    let lane = area.with_max_y(area.top() + button::height(f.style));
    let of_project = f.state.takes.source == Source::Project;
    let star = f.button_size(ONLY).x + f.len(12.0);
    let place = lane.with_max_x(lane.right() - if of_project { star + f.len(6.0) } else { 0.0 });
    let now = match (of_project, f.view.library) {
        (false, Some(found)) => found.search.words.clone(),
        _ => f.state.takes.order.search.clone(),
    };
    let field = Field::new("search", "Search takes", &now, "Search takes…");
    if let Some(words) = f.field(place, field) {
        match (of_project, f.view.library) {
            (false, Some(found)) => {
                let search = LibrarySearch { words, page: 0, ..found.search.clone() };
                f.acts.push(Action::Search(search));
            }
            _ => f.state.takes.order.search = words,
        }
    }
    if of_project {
        let place = lane.with_min_x(lane.right() - star);
        let starred = f.state.takes.order.starred;
        if row::starred_only(f, place, ONLY, starred).clicked() {
            f.state.takes.order.starred = !starred;
        }
    }
    lane.bottom()
}

/// The takes of this project.
fn of_project(f: &mut Frame<'_>, area: Rect) {
    let rows = &f.view.snapshot.takes;
    let list = beside_a_bar(f.style, area);
    let columns = ColumnLayout::new(list, figures_of(f, list.width()));
    let heads = list.with_max_y(list.top() + f.style.small * 1.5);
    head(f, heads, &columns);
    let mut below = area.with_min_y(heads.bottom() + f.len(3.0));
    let order = listed(rows, f.view.model, &f.state.takes.order);
    // If all fit, rows are taller and a plot from take to take fills the rest.
    let wanted = row::high(f) * order.len() as f32;
    let roomy = !order.is_empty() && wanted <= below.height();
    let pitch = if roomy { row::high(f) } else { button::height(f.style) + f.len(5.0) };
    if roomy {
        let under = below.with_min_y(below.top() + wanted + f.len(12.0));
        if f.inside(under, "take by take", |f| take_by_take::take_by_take(f, &order)) {
            below.max.y = under.top();
        }
    }
    walk(f, below, &order, pitch);
    if order.is_empty() {
        return f.say(below, if rows.is_empty() { NO_TAKES } else { NONE_FOUND });
    }
    let list = List::new("takes", below, (pitch, order.len()), |state| &mut state.takes.list);
    f.list(list, |f, place, lane| {
        let take = &rows[order[place]];
        let pressed = row::row(f, &columns, lane, take);
        if pressed.clicked() || pressed.secondary_clicked() {
            select(f, take);
            f.ui.memory_mut(|memory| memory.request_focus(keys::takes_id()));
        }
        if pressed.secondary_clicked() {
            let at = pressed.interact_pointer_pos().unwrap_or(lane.center());
            menu::open(f, take, Some(at));
        }
        if let Some(menu) = &mut f.state.takes.menu
            && menu.take == take.id
        {
            menu.at.get_or_insert(pressed.rect.left_center());
        }
    });
}

/// Arrows move the selection while the list has the focus; Delete, Enter and F2 act on it.
fn walk(f: &mut Frame<'_>, area: Rect, order: &[usize], pitch: f32) {
    let response = f.ui.interact(area, keys::takes_id(), Sense::focusable_noninteractive());
    let rows = &f.view.snapshot.takes;
    response.widget_info(|| {
        WidgetInfo::labeled(Role::ListBox, true, format!("Takes: {}", order.len()))
    });
    f.focus_ring(&response);
    if !response.has_focus() {
        return;
    }
    let shown = f.view.snapshot.take;
    let now = order.iter().position(|at| rows[*at].number == shown);
    let fit = (area.height() / pitch).max(1.0) as usize;
    if let Some(to) = keys::through(f.ui, now, order.len(), fit) {
        select(f, &rows[order[to]]);
        f.state.takes.list.show(to, &(0..order.len()), fit);
    }
    if let Some(take) = now.map(|at| &rows[order[at]]) {
        actions::by_key(f, take);
        if menu::by_key(f) {
            menu::open(f, take, None);
        }
    }
    undo::by_key(f);
}

/// The column heads, which sort.
fn head(f: &mut Frame<'_>, heads: Rect, columns: &ColumnLayout) {
    let name = Rect::from_x_y_ranges(columns.name(), heads.y_range());
    one_head(f, name, ("take", ["take"; 2]), SortBy::Name);
    let count = columns.columns().len();
    for number in 0..count {
        let (long, short, _) = columns.columns()[number];
        let Some(figure) = Figure::named(long) else { continue };
        let place = Rect::from_x_y_ranges(columns.at(number), heads.y_range());
        one_head(f, place, (long, [long, short]), figure.sorts());
    }
    let rule = egui::Stroke::new(1.0, f.theme().rule);
    f.painter().hline(heads.x_range(), heads.bottom() + 1.0, rule);
}

fn one_head(f: &mut Frame<'_>, place: Rect, (name, texts): (&str, [&str; 2]), by: SortBy) {
    let response = f.interact(place, ("head", name), Sense::click());
    let order = &f.state.takes.order;
    let (chosen, descending) = (order.by == by, order.descending);
    response.widget_info(|| {
        let turned = match (chosen, descending) {
            (false, _) => "",
            (true, true) => ", descending",
            (true, false) => ", ascending",
        };
        WidgetInfo::selected(Role::Button, true, chosen, format!("Sort by {name}{turned}"))
    });
    let ink = if chosen || response.hovered() { f.theme().ink } else { f.theme().ink_soft };
    let arrow = f.len(9.0);
    let room = place.width() - f.len(4.0) - if chosen { arrow } else { 0.0 };
    if let Some(line) = f.fitting(&texts, f.style.small, ink, room) {
        let text = line.paint(place.left_center(), Align2::LEFT_CENTER);
        if chosen {
            direction(f, pos2(text.right() + arrow * 0.6, place.center().y), descending);
        }
    }
    if f.explain(response, help::TAKES).clicked() {
        press(&mut f.state.takes.order, by);
    }
}

/// A triangle: it points down if the largest is first.
fn direction(pen: &Pen<'_>, at: egui::Pos2, descending: bool) {
    let (wide, high) = (pen.len(3.2), pen.len(if descending { 2.6 } else { -2.6 }));
    let points = vec![
        at + egui::vec2(-wide, -high),
        at + egui::vec2(wide, -high),
        at + egui::vec2(0.0, high),
    ];
    let ink = pen.theme().ink;
    pen.painter().add(egui::Shape::convex_polygon(points, ink, egui::Stroke::NONE));
}
