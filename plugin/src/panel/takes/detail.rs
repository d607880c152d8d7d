//! The selected take: its title, the buttons of its views, and the open view.

use crate::panel::frame::Frame;
use crate::panel::playing::{phrase_detail, phrase_lanes};
use crate::panel::state::takes::{Detail, Source};
use crate::panel::takes::{
    advice, beat_grid, chords, choruses, compare, copy, edit, export, import, overview, star,
};
use crate::panel::widgets::{Flow, FlowLeft, button, split_top};
use crate::panel::words;
use crate::view_model::hear::{HearRequest, HearWhat};
use egui::{Align2, Rect, pos2};
use overbar_core::output::words::capital;
use overbar_core::session::take_list::TakeRow;

const NO_TAKE: &str = "The selected take is shown here.";
const BACK: &str = "Takes";

/// From this width on, phrases and the chosen one are side by side. In points at the default size.
const WIDE: f32 = 620.0;

/// The view, filling its area; if it `covers` the list, it has a way back.
pub fn detail(f: &mut Frame<'_>, covers: bool) {
    let area = f.area();
    let mut top = area;
    if covers {
        let place = Rect::from_min_size(area.min, back_size(f));
        if f.button(place, &format!("‹ {BACK}"), "Back to the list of takes", true).clicked() {
            f.state.takes.covers = false;
        }
        top = area.with_min_x(place.right() + f.len(8.0));
    }
    let view = f.state.takes.detail;
    let head = split_top(top, button::height(f.style)).0;
    match view {
        Detail::Compare | Detail::Import | Detail::Export => {
            heading(f, head, view);
            let below = area.with_min_y(head.bottom() + f.len(6.0));
            let show = match view {
                Detail::Compare => compare::compare,
                Detail::Import => import::import,
                _ => export::export,
            };
            return f.inside(below, view.name(), show);
        }
        _ => {}
    }
    let Some(take) = f.view.shown_take() else { return f.say(head, NO_TAKE) };
    title(f, head, take);
    let choices = area.with_min_y(head.bottom() + f.len(5.0));
    let bottom = views(f, choices);
    let below = area.with_min_y(bottom + f.len(7.0));
    let has_detail = f.view.shown_take_detail().is_some();
    if !has_detail && !matches!(view, Detail::Phrases | Detail::Edit) {
        return f.say(below, &capital(words::ANALYSING));
    }
    // Undo is below the list of this project's takes, if that is visible.
    let with_undo = covers || f.state.takes.source != Source::Project;
    let show = match view {
        Detail::Phrases => phrases,
        Detail::Choruses => choruses::choruses,
        Detail::Advice => advice::advice,
        Detail::Chords => chords::chords,
        Detail::BeatGrid if with_undo => beat_grid::with_undo,
        Detail::BeatGrid => beat_grid::beat_grid,
        Detail::Edit if with_undo => edit::with_undo,
        Detail::Edit => edit::edit,
        _ => overview::overview,
    };
    f.inside(below, view.name(), show);
}

fn back_size(f: &Frame<'_>) -> egui::Vec2 {
    f.button_size(&format!("‹ {BACK}"))
}

/// The title of a view of several takes or none, and a way back.
fn heading(f: &mut Frame<'_>, head: Rect, view: Detail) {
    let close = f.button_size("Close");
    let place = Rect::from_min_size(pos2(head.right() - close.x, head.top()), close);
    if f.button(place, "Close", &format!("Close {}", view.name()), true).clicked() {
        f.state.takes.open(Detail::Overview);
    }
    let line = f.strong(view.name(), f.style.large, f.theme().ink);
    line.paint(head.left_center(), Align2::LEFT_CENTER);
}

/// Star, name, and when and what was played.
fn title(f: &mut Frame<'_>, head: Rect, take: &TakeRow) {
    let name = f.view.model.called(take);
    let (with_star, text) = head.split_left_right_at_x(head.left() + star::width(f.style));
    star::star(f, with_star, take.id, "this take");
    let mut flow = FlowLeft::new(text, f.len(6.0));
    let request = HearRequest { what: HearWhat::Take(take.id), called: name.clone() };
    f.hear_in_row(&mut flow, &request);
    if f.state.takes.detail == Detail::Overview && f.view.shown_take_detail().is_some() {
        let place = flow.next(copy::size(f));
        copy::copy(f, place, "Copy the figures of this take", copy::tables::overview);
    }
    let text = text.with_min_x(text.left() + f.len(3.0)).with_max_x(flow.right);
    let (font, gap) = ((f.style.small, f.theme().ink_soft), f.len(10.0));
    let (whole, texts) = played(f, take);
    // The name leaves room for the shortest text, unless that takes more than half.
    let shortest = texts.last().map_or(0.0, |text| f.width(text, font.0) + gap);
    let kept = if shortest <= text.width() * 0.5 { shortest } else { 0.0 };
    let line = f.cut(&name, f.style.large, f.theme().ink, text.width() - kept);
    let placed = line.paint(text.left_center(), Align2::LEFT_CENTER);
    f.label(placed, "title", || name.clone());
    if texts.is_empty() {
        return;
    }
    let at = pos2(placed.right() + gap, text.center().y);
    f.write_fitting(&texts, font, text.right() - at.x, at, Align2::LEFT_CENTER);
    f.label(text.with_min_x(at.x), "played", || whole.clone()).on_hover_text(&whole);
}

/// When and what was played: the whole of it, and texts from the longest to the shortest.
fn played(f: &Frame<'_>, take: &TakeRow) -> (String, Vec<String>) {
    let label = f.view.model.labels.get(&take.id);
    let when = label.map_or("", |label| label.when.as_str());
    let Some(one) = f.view.shown_take_detail() else { return Default::default() };
    let from = one.grid.from();
    let beats = from.map_or_else(String::new, |from| format!(" · {from}"));
    let played = words::played("", &one.summary, &one.changes);
    let whole = words::played(when, &one.summary, &one.changes) + &beats;
    let mut texts = vec![whole.clone(), played.clone() + &beats];
    // The source of the beats takes precedence over tempo changes.
    texts.extend(from.map(|_| words::summary(&one.summary) + &beats));
    texts.extend([played, words::summary(&one.summary)]);
    (whole, texts)
}

/// The views of the take, as buttons; returns their bottom.
fn views(f: &mut Frame<'_>, area: Rect) -> f32 {
    let points = f.view.shown_take_detail().map_or(0, |one| one.advice.points.len());
    let has_chords = f.view.shown_take_detail().is_some_and(|one| one.harmony.is_some());
    let mut flow = Flow::new(f.style, area);
    for view in Detail::OF_A_TAKE {
        if view == Detail::Chords && !has_chords && f.state.takes.detail != view {
            continue;
        }
        let text = match (view, points) {
            (Detail::Advice, 1..) => format!("{} {points}", view.name()),
            _ => view.name().to_owned(),
        };
        if flow.choice(f, (&text, view.name()), f.state.takes.detail == view) {
            f.state.takes.open(view);
        }
    }
    flow.bottom()
}

/// The phrases, with the chosen one beside or below them.
fn phrases(f: &mut Frame<'_>) {
    let area = f.area();
    let Some(chosen) = f.view.snapshot.chosen.as_ref() else {
        return f.inside(area, "phrases", phrase_lanes::phrase_lanes);
    };
    let gap = f.len(14.0);
    let (list, one) = if area.width() >= f.len(WIDE) {
        let (left, right) = area.split_left_right_at_fraction(0.38);
        (Some(left.with_max_x(left.right() - gap)), right)
    } else if area.height() >= f.len(420.0) {
        let (top, below) = area.split_top_bottom_at_fraction(0.42);
        (Some(top), below.with_min_y(below.top() + gap * 0.7))
    } else {
        (None, area)
    };
    if let Some(list) = list {
        f.inside(list, "phrases", phrase_lanes::phrase_lanes);
    }
    let in_sight = list.is_some();
    f.inside(one, "phrase", |f| phrase_detail::phrase_detail(f, chosen, in_sight));
}
