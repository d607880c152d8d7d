//! Progress over days and weeks: every figure by week, this week against last month, and drills with their
//! best and last results; or one figure by player and by tune, side by side.

mod by_name;
mod head;
mod sentences;
mod weeks;

use crate::command::action::Action;
use crate::panel::frame::{Frame, List};
use crate::panel::progress::by_name::WIDE;
use crate::panel::progress::sentences::in_words;
use crate::panel::progress::weeks::weeks;
use crate::panel::widgets::{Pen, beside_a_bar, help, split_top};
use crate::panel::{settings, words};
use crate::view_model::progress::ProgressView;
use egui::{Align2, Rect, Role, Sense, WidgetInfo, pos2, vec2};
use overbar_core::output::words::capital;
use overbar_core::study::progress::drills::{DrillProgress, DrillResult};
use overbar_core::study::progress::{FigureProgress, Progress};

const READING: &str = "Loading library…";
const NOTHING: &str = "No history yet. Takes and drills appear here automatically.";

/// A row of the list.
enum ProgressRow<'a> {
    Group(&'static str),
    /// With its index among all figures.
    Figure(usize, &'a FigureProgress),
    Drill(&'a DrillProgress),
}

/// The view, filling its area.
pub fn progress(f: &mut Frame<'_>) {
    let Some(past) = f.view.progress else { return };
    if !f.state.progress_asked {
        f.state.progress_asked = true;
        f.acts.push(Action::Progress(past.filter.clone()));
    }
    show(f, past);
    head::menu(f, past);
}

fn show(f: &mut Frame<'_>, past: &ProgressView) {
    let area = f.area();
    let bottom = head::head(f, area, past);
    let below = area.with_min_y(bottom + f.len(4.0));
    let counting;
    let words = match (&past.fault, &past.progress, past.busy) {
        (Some(fault), ..) => fault,
        (None, _, Some((done, of))) if of > 0 => {
            counting = format!("Analysing {done} of {of} takes…");
            &counting
        }
        (None, None, _) => READING,
        (None, Some(found), _) if found.takes == 0 && found.drills.is_empty() => NOTHING,
        (None, Some(_), _) => "",
    };
    if !words.is_empty() {
        return f.say(below, words);
    }
    let Some(found) = &past.progress else { return };
    let top = summary(f, below, past, found);
    let mut list = below.with_min_y(top + f.len(4.0));
    if by_name::is_there(past) {
        if list.width() >= f.len(WIDE) {
            let (left, right) = list.split_left_right_at_fraction(0.54);
            let right = right.with_min_x(right.left() + f.len(16.0));
            f.inside(right, "by name", |f| by_name::by_name(f, past, found));
            list = left;
        } else if f.state.past.names {
            return f.inside(list, "by name", |f| by_name::by_name(f, past, found));
        }
    }
    let rows = rows(found);
    let names = (beside_a_bar(f.style, list).width() - f.len(8.0)) * NAMES - f.len(8.0);
    let needs =
        |figure: &FigureProgress| f.rows(figure.measure.words(), f.style.small, names).len();
    let most = found.figures.iter().map(needs).fold(2, usize::max);
    let least = f.style.small * 1.3 * most as f32 + f.len(7.0);
    // If all rows fit, they are higher.
    let pitch = (list.height() / rows.len().max(1) as f32).clamp(least, least * 1.5);
    let list =
        List::new("figures over time", list, (pitch, rows.len()), |state| &mut state.progress);
    f.list(list, |f, index, lane| {
        f.inside(lane, &format!("progress {index}"), |f| match rows[index] {
            ProgressRow::Group(name) => settings::group(f, lane, name),
            ProgressRow::Figure(place, figure) => one_figure(f, lane, (place, figure), found),
            ProgressRow::Drill(drill) => one_drill(f, lane, drill),
        });
    });
}

fn rows(found: &Progress) -> Vec<ProgressRow<'_>> {
    let mut rows = vec![ProgressRow::Group("trends: this week vs last month")];
    let figures = found.figures.iter().enumerate().filter(|(_, figure)| !figure.weeks.is_empty());
    rows.extend(figures.map(|(place, figure)| ProgressRow::Figure(place, figure)));
    if !found.drills.is_empty() {
        rows.push(ProgressRow::Group("drills"));
        rows.extend(found.drills.iter().map(ProgressRow::Drill));
    }
    rows
}

/// How much was played, on how many days; returns its bottom.
fn summary(pen: &Pen<'_>, area: Rect, past: &ProgressView, found: &Progress) -> f32 {
    let days = &found.days;
    let mut spoken = format!(
        "{} · active on {} · current streak {}, best {}",
        words::count(found.takes, "take", "takes"),
        words::count(days.days as usize, "day", "days"),
        days.current,
        days.longest
    );
    if past.unreadable > 0 {
        let takes = words::count(past.unreadable, "take", "takes");
        spoken += &format!(" · {takes} could not be read");
    }
    let line = pen.wrapped(&spoken, pen.style.small, pen.theme().ink_soft, area.width());
    let place = split_top(area, line.size().y).0;
    let response = pen.explained(place, "summary", || spoken.clone());
    line.paint(area.min, Align2::LEFT_TOP);
    pen.explain(response, help::PROGRESS);
    place.bottom()
}

/// A figure; a press shows it by player and tune.
fn one_figure(
    f: &mut Frame<'_>,
    lane: Rect,
    (place, figure): (usize, &FigureProgress),
    found: &Progress,
) {
    let [now, before] = in_words(figure, found);
    let name = capital(figure.measure.words());
    let chosen = f.state.past.figure == place;
    let response = f.interact(lane, "figure", Sense::click());
    response.widget_info(|| {
        let spoken = [&now, &before].map(|texts| texts.first().map_or("", String::as_str));
        let label = format!("{name}: {}", spoken.join("; "));
        WidgetInfo::selected(Role::Button, true, chosen, label)
    });
    f.chosen_ground(lane.shrink2(vec2(0.0, 1.0)), chosen, &response);
    let inner = lane.with_min_x(lane.left() + f.len(8.0));
    let chart = three(f, inner, &name, [&now, &before]);
    weeks(f, chart, figure);
    if f.explain(response, help::PROGRESS_FIGURE).clicked() {
        f.state.past.figure = place;
        f.state.past.names = true;
    }
}

fn one_drill(pen: &Pen<'_>, lane: Rect, drill: &DrillProgress) {
    let result = |which: &str, done: &DrillResult| {
        let met = format!("{which} {} of {}", done.result.count, done.result.of);
        [format!("{met} on {}", done.day), met]
    };
    let (best, last) = (result("best", &drill.best), result("last", &drill.last));
    let times = words::count(drill.times, "time", "times");
    let label = || format!("{}: {times}, {}, {}", drill.drill, best[0], last[0]);
    pen.label(lane, "drill", label);
    let middle = three(pen, lane, &drill.drill, [&best, &last]);
    let line = pen.cut(&times, pen.style.small, pen.theme().ink_soft, middle.width());
    line.paint(middle.left_center(), Align2::LEFT_CENTER);
}

/// Maximum number of lines in a name.
const MAX_ROWS: usize = 3;

/// Share of a row for its name.
const NAMES: f32 = 0.36;

/// A name at the left and two lines at the right, each the first of its texts that fits; returns the space
/// between them.
fn three(pen: &Pen<'_>, lane: Rect, name: &str, right: [&[String]; 2]) -> Rect {
    let theme = pen.theme();
    let gap = pen.len(8.0);
    let (names, rest) = lane.split_left_right_at_fraction(NAMES);
    let (middle, lines) = rest.split_left_right_at_fraction(0.36);
    let rows = pen.rows(name, pen.style.small, names.width() - gap);
    let height = pen.style.small * 1.3;
    let mut y = lane.center().y - height * rows.len().min(MAX_ROWS) as f32 / 2.0;
    for (number, row) in rows.iter().take(MAX_ROWS).enumerate() {
        // Overflow ends in an ellipsis.
        let row = if number + 1 == MAX_ROWS { rows[number..].join(" ") } else { row.clone() };
        let line = pen.cut(row, pen.style.small, theme.ink, names.width() - gap);
        line.paint(pos2(names.left(), y), Align2::LEFT_TOP);
        y += height;
    }
    let mut y = lane.center().y - height;
    for (texts, ink) in right.into_iter().zip([theme.ink, theme.ink_soft]) {
        let (font, at) = ((pen.style.small, ink), pos2(lines.left(), y));
        pen.write_fitting(texts, font, lines.width(), at, Align2::LEFT_TOP);
        y += height;
    }
    middle.with_max_x(middle.right() - gap).shrink2(vec2(0.0, pen.len(3.0)))
}
