//! The result of a drill as a picture and in words, and earlier results.

mod best;
mod choruses;
pub(super) mod places;

use crate::panel::frame::{Frame, List};
use crate::panel::practice::foot::foot;
use crate::panel::practice::live::where_it_is;
use crate::panel::practice::{marks, sentences};
use crate::panel::state::practice::Page;
use crate::panel::widgets::{Pen, beside_a_bar, split_top};
use crate::panel::words;
use crate::view_model::drill_score::GoalRow;
use crate::view_model::practice::{DrillRun, PracticeView};
use egui::{Align2, Rect};

/// The title of earlier results.
const HISTORY: &str = "History";

/// Minimum height of a goal, in points of the default window.
const MIN_GOAL_HEIGHT: f32 = 138.0;

/// From this width on the positions are beside the choruses, not above them.
const WIDE: f32 = 540.0;

/// Minimum width of the best and the latest result, in points of the default window.
const BEST: f32 = 190.0;

/// From this width on the words are beside the picture, in points.
const WORDS_BESIDE: f32 = 1000.0;

/// Whether an area is wide enough for the words beside the picture.
fn words_are_beside(area: Rect) -> bool {
    area.width() >= WORDS_BESIDE
}

/// The result as a picture, over the whole of its area.
pub fn result(f: &mut Frame<'_>, run: &DrillRun) {
    let buttons = [("Back", "Back"), ("In words", "Result in words")];
    let beside = words_are_beside(f.area());
    let buttons = if beside { &buttons[..1] } else { &buttons[..] };
    let (mut body, pressed) = foot(f, f.area(), None, buttons);
    match pressed {
        Some(0) => f.state.practice.open(Page::Live),
        Some(_) => f.state.practice.open(Page::Words),
        None => {}
    }
    if beside {
        let (left, right) = body.split_left_right_at_fraction(0.66);
        f.inside(right.with_min_x(right.left() + f.len(14.0)), "words", |f| {
            let mut all = in_words(run);
            let kept = f.view.practice.map_or(&[][..], |practice| &practice.plan.kept);
            if !kept.is_empty() {
                all.push(format!("{HISTORY}, the newest first:"));
                all.extend(kept.iter().rev().flatten().cloned());
            }
            let area = f.area();
            let under = sentences::height(f, area, &all) + f.len(20.0);
            let (mut words, rest) = split_top(area, under);
            if rest.height() >= marks::height(f, run).min(f.len(MIN_GOAL_HEIGHT)) {
                f.inside(rest, "in order", |f| in_order(f, run));
            } else {
                words = area;
            }
            sentences::scrolled(f, words, &all, "result in words");
        });
        body = left;
    }
    let title = format!("{} · {}", run.name, where_it_is(run));
    let fits = f.width(&title, f.style.body) <= body.width();
    let title = if fits { title } else { where_it_is(run) };
    let line = f.wrapped(title, f.style.body, f.theme().ink, body.width());
    let place = line.paint(body.left_top(), Align2::LEFT_TOP);
    f.label(place, "result", || format!("result: {}", in_words(run).join("\n")));
    let body = body.with_min_y(place.bottom() + f.len(6.0));
    if run.whole.is_empty() {
        return f.say(body, "No chorus was played to its end yet.");
    }
    let pitch =
        (body.height() / run.whole.len() as f32).max(f.len(MIN_GOAL_HEIGHT)).min(body.height());
    let list =
        List::new("goals", body, (pitch, run.whole.len()), |state| &mut state.practice.scroll);
    f.list(list, |f, index, lane| {
        let lane = lane.with_max_y(lane.bottom() - f.len(8.0));
        f.inside(lane, &format!("goal {index}"), |f| goal(f, lane, run, index));
    });
}

/// Hits and misses in the order played.
fn in_order(f: &mut Frame<'_>, run: &DrillRun) {
    let area = f.area();
    let title = f.soft("met and missed, in the order played");
    let place = title.paint(area.min, Align2::LEFT_TOP);
    let place = area.with_min_y(place.bottom() + f.len(4.0));
    f.inside(place, "marks", |f| marks::marks(f, run));
}

/// One goal: its share, its positions, its choruses, and the best result so far.
fn goal(f: &Frame<'_>, lane: Rect, run: &DrillRun, index: usize) {
    let row = &run.whole[index];
    let aim = run.aims.get(index).map_or("", String::as_str);
    let below = head(f, lane, aim, row);
    let past = f.view.drill_past.filter(|past| past.drill == run.name);
    let past = past.and_then(|past| past.goals.iter().find(|goal| goal.aim == aim));
    let gap = f.len(14.0);
    let (bar, rest) = if row.landings.bar <= 0.0 || row.landings.all.is_empty() {
        (None, below)
    } else if lane.width() >= WIDE {
        // Few choruses leave more room for the bar.
        let columns = choruses::width(f, run, index).max(f.len(BEST));
        let right = columns.min(below.width() * 0.44);
        let (left, right) = below.split_left_right_at_x(below.right() - right);
        (Some(left.with_max_x(left.right() - gap)), right)
    } else {
        let (upper, lower) = below.split_top_bottom_at_fraction(0.5);
        (Some(upper.with_max_y(upper.bottom() - f.len(4.0))), lower)
    };
    if let Some(bar) = bar {
        places::places(f, bar, &row.landings);
    }
    // Tall areas stack the two, low ones have them side by side.
    let (choruses, best) = if rest.height() >= f.len(110.0) {
        let (upper, lower) = rest.split_top_bottom_at_y(rest.bottom() - f.len(52.0));
        (upper.with_max_y(upper.bottom() - f.len(6.0)), lower)
    } else {
        let (left, right) = rest.split_left_right_at_fraction(0.48);
        (left.with_max_x(left.right() - gap), right)
    };
    choruses::choruses(f, choruses, run, index);
    best::best(f, best, row, past);
}

/// The aim above the share with its count; returns the remaining area.
fn head(pen: &Pen<'_>, lane: Rect, aim: &str, row: &GoalRow) -> Rect {
    let theme = pen.theme();
    let share =
        row.share.share().map_or("–".to_owned(), |share| format!("{:.0} %", share * 100.0));
    let figure = pen.strong(share, pen.style.large, theme.ink);
    let place = figure.paint(lane.left_top(), Align2::LEFT_TOP);
    let room = lane.right() - place.right() - pen.len(10.0);
    let at = egui::pos2(place.right() + pen.len(10.0), place.center().y);
    let all = counted(row);
    let texts =
        [format!("{all} · {aim}"), all.clone(), format!("{} of {}", row.share.count, row.share.of)];
    pen.write_fitting(&texts, (pen.style.small, theme.ink_soft), room, at, Align2::LEFT_CENTER);
    let (place, rest) = split_top(lane, place.height() + pen.len(4.0));
    pen.label(place, "share", || format!("{aim} {all}"));
    rest
}

/// "4 of 6 · likely range 30 % to 90 % · small sample".
fn counted(row: &GoalRow) -> String {
    let mut all = format!("{} of {}", row.share.count, row.share.of);
    if let Some(interval) = row.interval {
        all += &format!(" · likely range {}", words::range(interval));
    }
    if row.is_few {
        all += " · small sample";
    }
    all
}

/// The result in words, over its whole area; beside the picture if both fit.
pub fn words(f: &mut Frame<'_>, run: &DrillRun) {
    if words_are_beside(f.area()) {
        return result(f, run);
    }
    if page(f, &in_words(run), "result") {
        f.state.practice.open(Page::Result);
    }
}

fn in_words(run: &DrillRun) -> Vec<String> {
    let title = [format!("{}.", run.name)];
    let counts = run.words.iter().map(|line| words::with_likely_range(line));
    title.into_iter().chain(run.aims.clone()).chain(counts).collect()
}

/// Earlier results, over their whole area, newest first.
pub fn kept(f: &mut Frame<'_>, practice: &PracticeView) {
    let area = f.area();
    let title = f.strong(HISTORY, f.style.large, f.theme().ink);
    let title = title.paint(area.min, Align2::LEFT_TOP);
    let (body, pressed) = foot(f, area, None, &[("Back", "Back")]);
    if pressed.is_some() {
        f.state.practice.open(Page::Drills);
    }
    let body = body.with_min_y(title.bottom() + f.len(4.0));
    let width = beside_a_bar(f.style, body).width();
    // Each result has a line of its own above its goals.
    let mut rows: Vec<(bool, String)> = Vec::new();
    for result in practice.plan.kept.iter().rev() {
        for (number, line) in result.iter().enumerate() {
            let wrapped = f.rows(line, f.style.caption, width);
            rows.extend(wrapped.into_iter().map(|row| (number == 0, row)));
        }
    }
    let all: Vec<String> = practice.plan.kept.iter().rev().flatten().cloned().collect();
    f.label(body, "results", || format!("results: {}", all.join("\n")));
    let pitch = f.style.caption * 1.45;
    let list = List::new("results", body, (pitch, rows.len()), |state| &mut state.practice.scroll);
    f.list(list, |f, index, lane| {
        let (is_head, row) = &rows[index];
        let ink = if *is_head { f.theme().ink } else { f.theme().ink_soft };
        f.line(row, f.style.caption, ink).paint(lane.min, Align2::LEFT_TOP);
    });
}

/// Lines of text; returns whether the user wants to go back.
fn page(f: &mut Frame<'_>, all: &[String], what: &str) -> bool {
    let (body, pressed) = foot(f, f.area(), None, &[("Back", "Back")]);
    f.label(body, what, || format!("{what}: {}", all.join("\n")));
    sentences::scrolled(f, body, all, what);
    pressed.is_some()
}
