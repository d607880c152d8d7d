//! Divides the window: the row of views, the header, notices if any, and the open view. While playing,
//! figure and phrases side by side above the foot. In a small window the columns over the bar go
//! first, then the lines that explain.

use crate::command::action::Action;
use crate::panel::playing::{alert, calm, entries, figure, phrase_detail, phrase_lanes, waiting};
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::area::{child, split_top};
use crate::panel::{header, notices, practice, settings, tabs, takes};
use crate::view_model::look::Tab;
use egui::{Rect, Stroke, Ui, pos2, vec2};
use overbar_core::session::snapshot::GridState;

/// Width of the figure's column as a share of the window, and its least in points.
const FIGURE_SHARE: f32 = 0.335;
const FIGURE_LEAST: f32 = 150.0;

/// In a narrower window the phrase detail takes the figure's room too. In points.
const NARROW: f32 = 560.0;

/// From this height on, phrases and phrase detail are both shown. In points at the default size.
const HIGH: f32 = 290.0;

/// Shows `view` over the whole of `window`.
pub fn show(
    ui: &mut Ui,
    style: &Style,
    window: Rect,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let (row, rest) = split_top(window, tabs::height(style));
    tabs::tabs(&mut child(ui, row, "tabs"), style, row, view, state, acts);
    let (head, rest) = split_top(rest, header::height(style));
    header::header(&mut child(ui, head, "header"), style, view);
    let messages = notices::messages(view);
    let rest = if messages.is_empty() {
        rest
    } else {
        let (line, rest) = split_top(rest, notices::height(style));
        notices::notices(&mut child(ui, line, "notices"), style, &messages);
        rest
    };
    let list = rest.shrink2(vec2(style.margin, style.len(10.0)));
    match state.look.tab {
        Tab::Playing => playing(ui, style, rest, view, state, acts),
        Tab::Practice => {
            practice::practice(&mut child(ui, list, "practice"), style, view, state, acts);
        }
        Tab::Takes => takes::takes(&mut child(ui, list, "takes"), style, view, state, acts),
        Tab::Settings => {
            settings::settings(&mut child(ui, list, "settings"), style, view, state, acts);
        }
    }
}

fn playing(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let (body, foot) = split_top(area, area.height() - alert::height(style));
    show_foot(&mut child(ui, foot, "foot"), style, view, state);

    let inset = vec2(style.margin, style.len(12.0));
    let inner =
        |area: Rect| Rect::from_min_max(area.min + inset, area.max - vec2(inset.x, style.len(8.0)));
    let chosen = view.snapshot.chosen.as_ref();
    if let Some(detail) = chosen.filter(|_| area.width() < NARROW) {
        phrase_detail::phrase_detail(
            &mut child(ui, inner(body), "near"),
            style,
            view,
            (detail, false),
            state,
            acts,
        );
        return;
    }
    let width = (area.width() * FIGURE_SHARE).max(FIGURE_LEAST);
    let (left, right) = body.split_left_right_at_x(body.left() + width);
    show_figure(ui, left.shrink2(inset), style, view);
    let rule = Stroke::new(1.0, style.theme.rule);
    ui.painter().vline(right.left(), body.y_range().shrink(style.len(12.0)), rule);
    let right = inner(right);
    let (top, below) = match chosen {
        None => (Some(right), None),
        Some(detail) if right.height() >= style.len(HIGH) => {
            let (top, below) = split_top(right, right.height() * 0.42);
            (Some(top), Some((below.with_min_y(below.top() + style.len(12.0)), detail)))
        }
        Some(detail) => (None, Some((right, detail))),
    };
    if let Some(top) = top {
        phrase_lanes::phrase_lanes(&mut child(ui, top, "rack"), style, view, state, acts);
    }
    if let Some((below, detail)) = below {
        let near_it = (detail, top.is_some());
        phrase_detail::phrase_detail(
            &mut child(ui, below, "near"),
            style,
            view,
            near_it,
            state,
            acts,
        );
    }
}

/// The current alert, or a few figures.
fn show_foot(ui: &mut Ui, style: &Style, view: &View<'_>, state: &mut PanelState) {
    let alerts = view.alerts();
    let now = ui.input(|input| input.time);
    let arrived = state.arrived(alerts.first(), now);
    match alerts.split_first() {
        Some((first, others)) => alert::alert(ui, style, first, others, arrived),
        None => calm::calm(ui, style, &view.snapshot.figures),
    };
}

fn show_figure(ui: &mut Ui, area: Rect, style: &Style, view: &View<'_>) {
    let snapshot = view.snapshot;
    let ui = &mut child(ui, area, "figure");
    if let GridState::Missing(why) = snapshot.grid {
        waiting::no_grid(ui, style, why, snapshot.notes_without_grid);
        return;
    }
    if snapshot.figures.phrases == 0 {
        waiting::first_steps(ui, style, snapshot);
        return;
    }
    let metre = view.metre();
    let used = figure::figure(ui, style, snapshot.figures.off_beat_entries, metre).rect;
    let top = used.bottom() + style.len(12.0);
    let below = Rect::from_min_max(pos2(area.left(), top), area.max);
    if below.height() >= entries::least_height(style) {
        let ui = &mut child(ui, below, "entries");
        entries::entries(ui, style, view);
    }
}
