//! Divides the window: the tabs, the header, notices if any, and the open view. The live view has figure and
//! phrases side by side above the foot. In a small window the columns of starts go first, then the
//! explanations.

use crate::panel::frame::Frame;
use crate::panel::playing::{alert, calm, entries, figure, phrase_detail, phrase_lanes, waiting};
use crate::panel::style::Style;
use crate::panel::widgets::split_top;
use crate::panel::{comp, header, hear, notices, practice, progress, settings, tabs, takes, tune};
use crate::view_model::look::Tab;
use egui::{Rect, Stroke, pos2, vec2};
use overbar_core::session::snapshot::GridState;

/// Width of the figure's column as a share of the window, and its minimum in points.
const FIGURE_SHARE: f32 = 0.335;
const MIN_FIGURE: f32 = 150.0;

/// In a narrower window the phrase detail also takes the figure's column. In points.
const NARROW: f32 = 560.0;

/// From this height on, phrases and phrase detail are both shown. In points at the default size.
const HIGH: f32 = 290.0;

/// In a lower window, the Hear strip replaces the foot. In points at the default size.
const LOW: f32 = 230.0;

/// Opens the manual, beside the heading of the first steps.
const MANUAL: &str = "Manual";

/// Shows `view` over the whole of `window`; the live view uses the sizes of `far`.
pub fn show<'a>(f: &mut Frame<'a>, window: Rect, far: &'a Style) {
    let near = f.pen.style;
    let (row, rest) = split_top(window, tabs::height(near));
    f.inside(row, "tabs", |f| tabs::tabs(f, row));
    let messages = notices::messages(f.view);
    let rest = if messages.is_empty() {
        rest
    } else {
        let (line, rest) = split_top(rest, notices::height(near));
        f.inside(line, "notices", |f| notices::notices(f, &messages));
        rest
    };
    let rest = hear::docked(f, rest);
    let view = rest.shrink2(vec2(near.margin, near.len(10.0)));
    match f.state.look.tab {
        Tab::Playing => {
            f.pen.style = far;
            let (head, rest) = split_top(rest, header::height(far));
            f.inside(head, "header", header::header);
            playing(f, rest);
        }
        Tab::Takes => f.inside(rest, "takes", takes::takes),
        Tab::Comp => f.inside(view, "comp", comp::comp),
        Tab::Practice => {
            if practice::is_live(f) {
                f.pen.style = far;
            }
            f.inside(view, "practice", practice::practice);
        }
        Tab::Progress => f.inside(view, "progress", progress::progress),
        Tab::Tune => f.inside(view, "tune", tune::tune),
        Tab::Settings => f.inside(view, "settings", settings::settings),
    }
}

fn playing(f: &mut Frame<'_>, area: Rect) {
    // In a low window, the Hear strip replaces the foot.
    let has_foot = area.height() >= f.len(LOW) || !hear::is_open(f.state, f.view.hear);
    let foot = if has_foot { alert::height(f.style) } else { 0.0 };
    let (body, foot) = split_top(area, area.height() - foot);
    if has_foot {
        f.inside(foot, "foot", show_foot);
    }

    let inset = vec2(f.style.margin, f.len(12.0));
    let low = vec2(inset.x, f.len(8.0));
    let inner = |area: Rect| Rect::from_min_max(area.min + inset, area.max - low);
    let chosen = f.view.snapshot.chosen.as_ref();
    if let Some(detail) = chosen.filter(|_| area.width() < NARROW) {
        return f.inside(inner(body), "near", |f| phrase_detail::phrase_detail(f, detail, false));
    }
    let width = (area.width() * FIGURE_SHARE).max(MIN_FIGURE);
    let (left, right) = body.split_left_right_at_x(body.left() + width);
    f.inside(left.shrink2(inset), "figure", show_figure);
    let rule = Stroke::new(1.0, f.theme().rule);
    f.painter().vline(right.left(), body.y_range().shrink(f.len(12.0)), rule);
    let right = inner(right);
    let (top, below) = match chosen {
        None => (Some(right), None),
        Some(detail) if right.height() >= f.len(HIGH) => {
            let (top, below) = split_top(right, right.height() * 0.42);
            (Some(top), Some((below.with_min_y(below.top() + f.len(12.0)), detail)))
        }
        Some(detail) => (None, Some((right, detail))),
    };
    if let Some(top) = top {
        f.inside(top, "rack", phrase_lanes::phrase_lanes);
    }
    if let Some((below, detail)) = below {
        f.inside(below, "near", |f| phrase_detail::phrase_detail(f, detail, top.is_some()));
    }
}

/// The current alert, or some figures.
fn show_foot(f: &mut Frame<'_>) {
    let (alerts, figures) = (f.view.alerts(), &f.view.snapshot.figures);
    let now = f.ui.input(|input| input.time);
    let arrived = f.state.alert_fade(alerts.first(), now);
    match alerts.split_first() {
        Some((first, others)) => alert::alert(f, first, others, arrived),
        None => calm::calm(f, figures),
    }
}

fn show_figure(f: &mut Frame<'_>) {
    let (area, snapshot) = (f.area(), f.view.snapshot);
    if let GridState::Missing(why) = snapshot.grid {
        waiting::no_grid(f, why, snapshot.notes_without_grid);
        return;
    }
    if snapshot.figures.phrases == 0 {
        let view = f.view;
        waiting::first_steps(f, view);
        let size = f.button_size(MANUAL);
        let at = pos2(area.right() - size.x / 2.0, area.top() + f.style.caption * 0.6);
        settings::open_manual(f, Rect::from_center_size(at, size), (MANUAL, "Open the manual"));
        return;
    }
    let metre = f.view.metre();
    let used = figure::figure(f, snapshot.figures.off_beat_entries, metre).rect;
    let top = used.bottom() + f.len(9.0);
    let below = area.with_min_y(top);
    if below.height() >= entries::least_height(f.style) {
        f.inside(below, "entries", entries::entries);
    }
}
