//! Progress over days and weeks: every figure by week, this week against last month, and drills with
//! their best and last results.

mod weeks;

use crate::command::action::Action;
use crate::panel::progress::weeks::weeks;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::area::child;
use crate::panel::widgets::button::Flow;
use crate::panel::widgets::help;
use crate::panel::widgets::text::{self, Line, say};
use crate::panel::{settings, words};
use crate::view_model::progress::{ProgressFilter, ProgressView};
use egui::{Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use overbar_core::output::words::capital;
use overbar_core::study::advice::measure::Measure;
use overbar_core::study::progress::drills::{DrillProgress, DrillResult};
use overbar_core::study::progress::{FigureProgress, Progress};

const READING: &str = "The library is being read.";
const NOTHING: &str =
    "Nothing was played yet that the library knows of. Takes and drills come here by themselves.";

/// A row of the list.
enum ProgressRow<'a> {
    Group(&'static str),
    Figure(&'a FigureProgress),
    Drill(&'a DrillProgress),
}

/// The view, filling `ui`.
pub fn progress(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let Some(past) = view.progress else { return };
    let area = ui.max_rect();
    if !state.progress_asked {
        state.progress_asked = true;
        acts.push(Action::Progress(past.filter.clone()));
    }
    let bottom = head(ui, style, area, past, acts);
    let below = area.with_min_y(bottom + style.len(4.0));
    let counting;
    let words = match (&past.fault, &past.progress, past.busy) {
        (Some(fault), ..) => fault,
        (None, _, Some((done, of))) if of > 0 => {
            counting = format!("{done} of {of} takes have been counted.");
            &counting
        }
        (None, None, _) => READING,
        (None, Some(found), _) if found.takes == 0 && found.drills.is_empty() => NOTHING,
        (None, Some(_), _) => "",
    };
    if !words.is_empty() {
        return say(ui, style, below, words);
    }
    let Some(found) = &past.progress else { return };
    let top = summary(ui, style, below, past, found);
    let rows = rows(found);
    let list = below.with_min_y(top + style.len(4.0));
    let names = names_width(style, list.width());
    let needs = |figure: &FigureProgress| {
        text::rows(ui.painter(), figure.measure.words(), style.small, names).len()
    };
    let most = found.figures.iter().map(needs).fold(2, usize::max);
    let pitch = style.small * 1.3 * most as f32 + style.len(7.0);
    let lanes = state.progress.lanes(ui, style, list, pitch, rows.len());
    for (index, lane) in lanes.each() {
        let ui = &mut child(ui, lane, &format!("progress {index}"));
        match rows[index] {
            ProgressRow::Group(name) => settings::group(ui, style, lane, name),
            ProgressRow::Figure(figure) => one_figure(ui, style, lane, (figure, found)),
            ProgressRow::Drill(drill) => one_drill(ui, style, lane, drill),
        }
    }
    state.progress.bar_beside(ui, style, &lanes, "figures over time");
}

fn rows(found: &Progress) -> Vec<ProgressRow<'_>> {
    let mut rows = Vec::new();
    if !found.drills.is_empty() {
        rows.push(ProgressRow::Group("drills"));
        rows.extend(found.drills.iter().map(ProgressRow::Drill));
    }
    rows.push(ProgressRow::Group("figures over time, and this week against last month"));
    rows.extend(
        found.figures.iter().filter(|figure| !figure.weeks.is_empty()).map(ProgressRow::Figure),
    );
    rows
}

/// Player and tune; returns its bottom.
fn head(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    past: &ProgressView,
    acts: &mut Vec<Action>,
) -> f32 {
    let mut flow = Flow::new(style, area);
    let mut chosen = past.filter.clone();
    let shown = |name: &Option<String>, all: &str| words::short(name.as_deref().unwrap_or(all));
    let text = shown(&chosen.player, "Everyone");
    if flow.button(ui, style, (&text, &format!("Player: {text}")), !past.players.is_empty()) {
        chosen.player = next(&past.players, chosen.player);
    }
    let text = shown(&chosen.tune, "All tunes");
    if flow.button(ui, style, (&text, &format!("Tune: {text}")), !past.tunes.is_empty()) {
        chosen.tune = next(&past.tunes, chosen.tune);
    }
    if flow.button(ui, style, ("Count again", "Count again"), past.busy.is_none())
        || chosen != past.filter
    {
        acts.push(Action::Progress(ProgressFilter { ..chosen }));
    }
    flow.bottom()
}

/// The one after `now`; after the last, all.
fn next(names: &[String], now: Option<String>) -> Option<String> {
    let at = now.and_then(|now| names.iter().position(|name| *name == now));
    names.get(at.map_or(0, |at| at + 1)).cloned()
}

/// How much was played on how many days; returns its bottom.
fn summary(ui: &Ui, style: &Style, area: Rect, past: &ProgressView, found: &Progress) -> f32 {
    let days = &found.days;
    let mut told = format!(
        "{} on {}, {} in a row now, {} at most.",
        words::count(found.takes, "take", "takes"),
        words::count(days.days as usize, "day", "days"),
        words::count(days.current as usize, "day", "days"),
        days.longest
    );
    if past.unreadable > 0 {
        let takes = words::count(past.unreadable, "take", "takes");
        told += &format!(" {takes} could not be read.");
    }
    let soft = style.theme.ink_soft;
    let line = Line::wrapped(ui.painter(), &told, style.small, soft, area.width());
    let place = Rect::from_min_size(area.min, vec2(area.width(), line.size().y));
    let response = ui.interact(place, ui.scope_id().with("summary"), help::sense());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &told));
    line.paint(ui.painter(), area.min, Align2::LEFT_TOP);
    help::explain(ui, style, response, help::PROGRESS);
    place.bottom()
}

fn one_figure(ui: &Ui, style: &Style, lane: Rect, (figure, found): (&FigureProgress, &Progress)) {
    let [now, before] = in_words(figure, found);
    let name = capital(figure.measure.words());
    let response = ui.interact(lane, ui.scope_id().with("figure"), Sense::hover());
    response.widget_info(|| {
        let told = [&now, &before].map(|texts| texts.first().map_or("", String::as_str));
        WidgetInfo::labeled(Role::Label, true, format!("{name}: {}", told.join("; ")))
    });
    let chart = three(style, lane, &name, [&now, &before], ui);
    weeks(ui.painter(), style, chart, figure);
}

fn one_drill(ui: &Ui, style: &Style, lane: Rect, drill: &DrillProgress) {
    let result = |which: &str, done: &DrillResult| {
        let met = format!("{which} {} of {}", done.result.count, done.result.of);
        [format!("{met} on {}", done.day), met]
    };
    let (best, last) = (result("best", &drill.best), result("last", &drill.last));
    let times = words::count(drill.times, "time", "times");
    let response = ui.interact(lane, ui.scope_id().with("drill"), Sense::hover());
    response.widget_info(|| {
        let label = format!("{}: {times}, {}, {}", drill.drill, best[0], last[0]);
        WidgetInfo::labeled(Role::Label, true, label)
    });
    let middle = three(style, lane, &drill.drill, [&best, &last], ui);
    let line = Line::cut_to(ui.painter(), times, style.small, style.theme.ink_soft, middle.width());
    line.paint(ui.painter(), middle.left_center(), Align2::LEFT_CENTER);
}

/// Most lines of a name.
const MOST_ROWS: usize = 3;

/// Share of a row for its name.
const NAMES: f32 = 0.36;

/// Width of names in a list of `width` with its bar.
fn names_width(style: &Style, width: f32) -> f32 {
    (width - style.len(14.0)) * NAMES - style.len(8.0)
}

/// A name at the left and two lines at the right, each the first of its texts that fits; returns the
/// room between them.
fn three(style: &Style, lane: Rect, name: &str, right: [&[String]; 2], ui: &Ui) -> Rect {
    let painter = ui.painter();
    let theme = &style.theme;
    let gap = style.len(8.0);
    let (names, rest) = lane.split_left_right_at_fraction(NAMES);
    let (middle, lines) = rest.split_left_right_at_fraction(0.36);
    let rows = text::rows(painter, name, style.small, names.width() - gap);
    let height = style.small * 1.3;
    let mut y = lane.center().y - height * rows.len().min(MOST_ROWS) as f32 / 2.0;
    for (number, row) in rows.iter().take(MOST_ROWS).enumerate() {
        // What does not fit ends in an ellipsis.
        let row = if number + 1 == MOST_ROWS { rows[number..].join(" ") } else { row.clone() };
        let line = Line::cut_to(painter, row, style.small, theme.ink, names.width() - gap);
        line.paint(painter, pos2(names.left(), y), Align2::LEFT_TOP);
        y += height;
    }
    let mut y = lane.center().y - height;
    for (texts, ink) in right.into_iter().zip([theme.ink, theme.ink_soft]) {
        if let Some(line) = text::first_that_fits(painter, texts, style.small, ink, lines.width()) {
            line.paint(painter, pos2(lines.left(), y), Align2::LEFT_TOP);
        }
        y += height;
    }
    middle.with_max_x(middle.right() - gap).shrink2(vec2(0.0, style.len(3.0)))
}

/// This week, or the last one played, with its 95 % interval, and what it is compared with; each from
/// long to short.
fn in_words(figure: &FigureProgress, found: &Progress) -> [Vec<String>; 2] {
    let value = |value: f64| match figure.measure {
        Measure::Lag => format!("{value:+.0} ms"),
        _ => format!("{:.0} %", value * 100.0),
    };
    let told = |now: f64, interval: Option<(f64, f64)>, of: u32, when: &str| {
        let ends = interval.map(|(low, high)| format!(" ({} to {})", value(low), value(high)));
        let (now, ends) = (value(now), ends.unwrap_or_default());
        let short = format!("{now}, of {of}");
        vec![format!("{now}{ends} of {of}{when}"), format!("{now}{ends} of {of}"), short, now]
    };
    match (&figure.change, figure.weeks.last()) {
        (Some(change), _) => {
            let side = match (change.changed, change.difference.by > 0.0) {
                (false, _) => "no clear change",
                (true, true) => "more now",
                (true, false) => "less now",
            };
            let interval = found.this_week.interval(figure.measure);
            let (before, of) = (value(change.before), change.before_of);
            let before = vec![
                format!("{before} last month, of {of}: {side}"),
                format!("{before} before: {side}"),
                side.to_owned(),
            ];
            [told(change.now, interval, change.now_of, " this week"), before]
        }
        (None, Some(week)) => {
            let when = vec![format!("in the week of {}", week.from), week.from.to_string()];
            [told(week.value, week.interval, week.of, ""), when]
        }
        (None, None) => [Vec::new(), Vec::new()],
    }
}
