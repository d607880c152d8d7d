//! The current drill: what is due, the current counts, and its choruses; or the result. It is read from two
//! metres, with an instrument in the hands.

use crate::command::drill::DrillCommand;
use crate::panel::frame::Frame;
use crate::panel::practice::foot::foot;
use crate::panel::practice::marks::GLANCE;
use crate::panel::practice::result::places;
use crate::panel::practice::{marks, sentences};
use crate::panel::state::practice::Page;
use crate::panel::widgets::{Pen, help, split_top};
use crate::panel::words;
use crate::view_model::drill_score::GoalRow;
use crate::view_model::practice::DrillRun;
use egui::{Align2, Rect, Role, Stroke, pos2};
use overbar_core::practice::DrillState;

/// Maximum size of a figure.
const LARGEST: f32 = 150.0;

/// Share of the width for what is due and the counts.
const COUNTS: f32 = 0.46;

/// The page, over the whole of its area.
pub fn live(f: &mut Frame<'_>, run: &DrillRun) {
    let area = f.area();
    let goes_on = run.under_way && run.passed.is_none();
    let first = if goes_on { ("Stop", "Stop the drill") } else { ("Again", "Start it again") };
    let buttons = [first, ("Result", "Result"), ("All drills", "All drills")];
    let (body, pressed) = foot(f, area, None, &buttons);
    match pressed {
        Some(0) if goes_on => f.practise(DrillCommand::End),
        Some(0) => f.practise(DrillCommand::Start),
        Some(1) => f.state.practice.open(Page::Result),
        Some(_) => {
            // A finished drill is shown with the results.
            if run.passed.is_some() && run.under_way {
                f.practise(DrillCommand::End);
            }
            f.state.practice.open(Page::Drills);
        }
        None => {}
    }
    let body = head(f, body, run);
    let (left, right) = body.split_left_right_at_fraction(COUNTS);
    let left = left.with_max_x(left.right() - f.len(10.0));
    let rule = Stroke::new(1.0, f.theme().rule);
    f.painter().vline(right.left(), body.y_range(), rule);
    let mut right = right.with_min_x(right.left() + f.len(10.0));
    let rest = due(f, left, run);
    f.inside(rest, "counts", |f| counts(f, &run.now, run.pass));
    // If the choruses leave room, it shows the positions in the bar.
    let needed = marks::height(f, run) + f.len(14.0);
    let all = if run.whole.is_empty() { &run.now } else { &run.whole };
    let landed = all.iter().map(|goal| &goal.landings);
    let landed = landed.into_iter().find(|landed| landed.bar > 0.0 && !landed.all.is_empty());
    if let Some(landed) = landed.filter(|_| right.height() - needed >= f.len(PLACES.0)) {
        let (upper, lower) = right.split_top_bottom_at_y(right.top() + needed);
        right = upper;
        let lower = lower.with_max_y(lower.bottom().min(lower.top() + f.len(PLACES.1)));
        f.inside(lower, "places", |f| places::places(f, lower, landed));
    }
    f.inside(right, "choruses", |f| marks::marks(f, run));
}

/// Minimum and maximum height of the positions, in points at the default size.
const PLACES: (f32, f32) = (90.0, 260.0);

/// The progress of the drill, as a sentence.
pub fn where_it_is(run: &DrillRun) -> String {
    match (run.passed, run.under_way) {
        (Some(true), _) => "Finished: passed.".to_owned(),
        (Some(false), _) => "Finished: not passed.".to_owned(),
        (None, false) => "Stopped.".to_owned(),
        (None, true) => run.state.to_string(),
    }
}

/// Name, progress and aims; returns the remaining area.
fn head(pen: &Pen<'_>, area: Rect, run: &DrillRun) -> Rect {
    let theme = pen.theme();
    let place = where_it_is(run);
    let width = |size| pen.strong(&place, size, theme.ink).width();
    let size = Pen::shrunk(pen.len(GLANCE), area.width(), width).max(pen.style.body);
    let line = match width(size) <= area.width() {
        true => pen.strong(&place, size, theme.ink),
        false => pen.wrapped(&place, size, theme.ink, area.width()),
    };
    let placed = line.paint(area.left_top(), Align2::LEFT_TOP);
    let room = area.right() - placed.right() - pen.len(16.0);
    let font = (pen.style.body, theme.ink_soft);
    pen.write_fitting(&[&run.name], font, room, area.right_top(), Align2::RIGHT_TOP);
    let rows = sentences::as_many_as_fit(pen, &run.aims, (pen.style.caption, area.width()), 2);
    let at = pos2(area.left(), placed.bottom());
    let lower = pen.write_rows(&rows, at, pen.style.caption, theme.ink_soft);
    let (head, rest) = split_top(area, lower - area.top() + pen.len(8.0));
    let label = || format!("{}: {place} {}", run.name, run.aims.join(" "));
    let response = pen.tell(head, "head", Role::Status, label);
    pen.explain(response, help::DRILL_STATE);
    rest
}

/// The next target.
pub struct DueSign {
    /// The kind of target.
    pub caption: &'static str,
    /// Its short form.
    pub sign: String,
    /// The full text.
    pub words: String,
}

/// What is due next. A tempo that is asked for comes before it.
pub fn sign(run: &DrillRun) -> Option<DueSign> {
    if let DrillState::AsksForTempo { asked, .. } = run.state {
        let words = format!("set the tempo to {asked:.0} BPM");
        return Some(DueSign {
            caption: "set the tempo to",
            sign: format!("{asked:.0} BPM"),
            words,
        });
    }
    let all = |parts: Vec<&str>, sign: &str| (!parts.is_empty()).then(|| parts.join(sign));
    let sign = all(run.due.iter().map(|due| due.sign.as_str()).collect(), " · ")?;
    let now = all(run.due.iter().map(|due| due.words.as_str()).collect(), ", ")?;
    let then = all(run.then.iter().map(|due| due.words.as_str()).collect(), ", ");
    let words = match then {
        Some(then) => format!("next: {now}; then {then}"),
        None => format!("next: {now}"),
    };
    Some(DueSign { caption: "next", sign, words })
}

/// What is due; returns the area below.
fn due(pen: &Pen<'_>, area: Rect, run: &DrillRun) -> Rect {
    let asked = sign(run).filter(|_| run.under_way && run.passed.is_none());
    let Some(DueSign { caption, sign, words: label }) = asked else { return area };
    let theme = pen.theme();
    let width = |size| pen.strong(&sign, size, theme.off).width();
    // Several goals leave less room for it.
    let wanted = if run.now.len() > 2 { GLANCE * 1.1 } else { GLANCE * 2.0 };
    let size = Pen::shrunk(pen.len(wanted), area.width(), width);
    let then = (!run.then.is_empty()).then(|| {
        let signs: Vec<&str> = run.then.iter().map(|due| due.sign.as_str()).collect();
        format!("then {}", signs.join(" · "))
    });
    let caption = pen.soft(caption).paint(area.left_top(), Align2::LEFT_TOP);
    let line = pen.strong(&sign, size.max(pen.style.small), theme.off);
    let placed = line.paint(caption.left_bottom(), Align2::LEFT_TOP);
    let room = area.right() - placed.right() - pen.len(10.0);
    if let Some(then) = then {
        let at = pos2(placed.right() + pen.len(10.0), placed.center().y);
        let font = (pen.style.small, theme.ink_soft);
        pen.write_fitting(&[then], font, room, at, Align2::LEFT_CENTER);
    }
    let (place, rest) = split_top(area, placed.bottom() - area.top() + pen.len(4.0));
    let response = pen.explained(place, "due", || label.clone());
    pen.explain(response, help::DRILL_DUE);
    rest
}

/// The current counts: one large, or several smaller ones, as many as fit.
fn counts(pen: &Pen<'_>, goals: &[GoalRow], pass: f64) {
    let area = pen.area();
    let fit = (area.height() / (pen.style.small * 1.45)) as usize;
    let shown = if goals.len() <= fit { goals.len() } else { fit.saturating_sub(1) };
    let more = goals.len() - shown;
    let parts = shown + usize::from(more > 0);
    let height = area.height() / parts.max(1) as f32;
    let place =
        |index: usize| split_top(area.with_min_y(area.top() + index as f32 * height), height).0;
    for (index, goal) in goals.iter().take(shown).enumerate() {
        one(pen, place(index), (index, goal), pass);
    }
    if more > 0 {
        let line = pen.soft(format!("and {more} more, under Result"));
        line.paint(place(shown).left_top(), Align2::LEFT_TOP);
    }
}

/// A figure with its description: below it if it can be large, otherwise beside it.
fn one(pen: &Pen<'_>, place: Rect, (index, goal): (usize, &GoalRow), pass: f64) {
    let theme = pen.theme();
    let response = pen.explained(place, index, || format!("now {} {}", goal.figure, goal.of));
    let glance = pen.len(GLANCE);
    let under = pen.rows(&goal.of, glance, place.width());
    let size = (place.height() - under.len() as f32 * glance * 1.3) * 0.9;
    if size >= glance * 1.4 {
        let width = |size| pen.strong(&goal.figure, size, theme.ink).width();
        let size = Pen::shrunk(size.min(pen.len(LARGEST)), place.width(), width);
        let ink = pen.strong(&goal.figure, size, theme.ink);
        let foot = place.top() + ink.ink().height() + pen.len(4.0);
        let below = ink.stand(place.left(), foot).bottom() + pen.len(4.0);
        let below = pen.write_rows(&under, pos2(place.left(), below), glance, theme.ink_soft);
        let lane = place.with_min_y(below + pen.len(6.0));
        if lane.height() >= glance * 1.8 {
            share(pen, lane.with_max_x(lane.right() - pen.len(16.0)), goal, pass);
        }
    } else {
        let size = (place.height() * 0.8).min(glance).max(pen.style.small);
        let middle = place.top() + size * 0.6;
        let figure = pen.strong(&goal.figure, size, theme.ink);
        let figure = figure.paint(pos2(place.left(), middle), Align2::LEFT_CENTER);
        let at = pos2(figure.right() + pen.len(8.0), middle);
        let (room, soft) = (place.right() - at.x, theme.ink_soft);
        let fits = |size: &&f32| pen.width(&goal.of, **size) <= room;
        let sizes = [size * 0.75, pen.style.body, pen.style.caption, pen.style.small];
        let size = sizes.iter().find(fits).copied().unwrap_or(pen.style.small);
        let font = (size.max(pen.style.small), soft);
        pen.write_fitting(&[&goal.of], font, room, at, Align2::LEFT_CENTER);
    }
    pen.explain(response, help::DRILL_COUNT);
}

/// The share on a line with its likely range, and the pass mark.
fn share(pen: &Pen<'_>, area: Rect, goal: &GoalRow, pass: f64) {
    let Some(share) = goal.share.share() else { return };
    let glance = pen.len(GLANCE);
    let (theme, part) = (pen.theme(), |share: f64| share.clamp(0.0, 1.0) as f32);
    let middle = area.top() + pen.len(14.0);
    let range = goal.interval.map(|(low, high)| (part(low), part(high)));
    pen.scale_line(area.x_range(), middle, None, range, Some(part(share)));
    let x = egui::lerp(area.x_range(), part(pass));
    let reach = pen.len(10.0);
    pen.painter().vline(x, middle - reach..=middle + reach, Stroke::new(pen.len(2.0), theme.off));
    let (share, pass) = (words::percent(share), words::percent(pass));
    let texts = [format!("{share} (needs {pass})"), format!("{share}, needs {pass}")];
    let at = pos2(area.left(), middle + reach + pen.len(4.0));
    pen.write_fitting(&texts, (glance, theme.ink), area.width(), at, Align2::LEFT_TOP);
}
