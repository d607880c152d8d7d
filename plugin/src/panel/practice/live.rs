//! The drill under way: what is due, what counts now, and its choruses; or what came out.

use crate::command::drill::DrillCommand;
use crate::panel::frame::Frame;
use crate::panel::practice::foot::foot;
use crate::panel::practice::{marks, sentences};
use crate::panel::state::practice::Page;
use crate::panel::widgets::{Pen, help, split_top};
use crate::view_model::drill_score::GoalRow;
use crate::view_model::practice::DrillRun;
use egui::{Align2, Rect, Role, Stroke, pos2};
use overbar_core::practice::DrillState;

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
            // What is over is put with the results.
            if run.passed.is_some() && run.under_way {
                f.practise(DrillCommand::End);
            }
            f.state.practice.open(Page::Drills);
        }
        None => {}
    }
    let body = head(f, body, run);
    let (left, right) = body.split_left_right_at_fraction(0.46);
    let left = left.with_max_x(left.right() - f.len(10.0));
    let rule = Stroke::new(1.0, f.theme().rule);
    f.painter().vline(right.left(), body.y_range(), rule);
    let right = right.with_min_x(right.left() + f.len(10.0));
    let rest = due(f, left, run);
    f.inside(rest, "counts", |f| counts(f, &run.now));
    f.inside(right, "choruses", |f| marks::marks(f, run));
}

/// Where the drill is, in a sentence.
pub fn where_it_is(run: &DrillRun) -> String {
    match (run.passed, run.under_way) {
        (Some(true), _) => "Finished: passed.".to_owned(),
        (Some(false), _) => "Finished: not passed.".to_owned(),
        (None, false) => "Stopped.".to_owned(),
        (None, true) => run.state.to_string(),
    }
}

/// Name, place and aims; gives what is left.
fn head(pen: &Pen<'_>, area: Rect, run: &DrillRun) -> Rect {
    let theme = pen.theme();
    let place = where_it_is(run);
    let place_line = pen.strong(&place, pen.style.body, theme.ink);
    let name = pen.line(&run.name, pen.style.body, theme.ink_soft);
    let one_row = name.width() + place_line.width() + pen.len(16.0) <= area.width();
    if one_row {
        name.paint(area.right_top(), Align2::RIGHT_TOP);
    }
    let placed = if place_line.width() <= area.width() {
        place_line.paint(area.left_top(), Align2::LEFT_TOP)
    } else {
        let line = pen.wrapped(&place, pen.style.body, theme.ink, area.width());
        line.paint(area.left_top(), Align2::LEFT_TOP)
    };
    let rows = sentences::as_many_as_fit(pen, &run.aims, (pen.style.caption, area.width()), 2);
    let at = pos2(area.left(), placed.bottom());
    let lower = pen.write_rows(&rows, at, pen.style.caption, theme.ink_soft);
    let (head, rest) = split_top(area, lower - area.top() + pen.len(8.0));
    let label = || format!("{}: {place} {}", run.name, run.aims.join(" "));
    pen.tell(head, "head", Role::Status, label);
    rest
}

/// What is asked for next.
pub struct DueSign {
    /// What the sign is.
    pub caption: &'static str,
    /// It in a few signs.
    pub sign: String,
    /// All of it in words.
    pub words: String,
}

/// What is due next. A tempo that is asked for comes before it.
pub fn sign(run: &DrillRun) -> Option<DueSign> {
    if let DrillState::AsksForTempo { asked, .. } = run.state {
        let words = format!("set the tempo to {asked:.0}");
        return Some(DueSign { caption: "set the tempo to", sign: format!("{asked:.0}"), words });
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

/// What is due; gives what is left under it.
fn due(pen: &Pen<'_>, area: Rect, run: &DrillRun) -> Rect {
    let asked = sign(run).filter(|_| run.under_way && run.passed.is_none());
    let Some(DueSign { caption, sign, words: label }) = asked else { return area };
    let theme = pen.theme();
    let width = |size| pen.strong(&sign, size, theme.off).width();
    let size = Pen::shrunk(pen.style.large * 1.5, area.width(), width);
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

/// The figures that count now: one large, several smaller, as many as fit.
fn counts(pen: &Pen<'_>, goals: &[GoalRow]) {
    let area = pen.area();
    let fit = (area.height() / (pen.style.small * 1.45)) as usize;
    let shown = if goals.len() <= fit { goals.len() } else { fit.saturating_sub(1) };
    let more = goals.len() - shown;
    let parts = shown + usize::from(more > 0);
    let height = area.height() / parts.max(1) as f32;
    let place =
        |index: usize| split_top(area.with_min_y(area.top() + index as f32 * height), height).0;
    for (index, goal) in goals.iter().take(shown).enumerate() {
        one(pen, place(index), index, goal);
    }
    if more > 0 {
        let line = pen.soft(format!("and {more} more, under Result"));
        line.paint(place(shown).left_top(), Align2::LEFT_TOP);
    }
}

/// A figure: large with what it is of under it, or in a line.
fn one(pen: &Pen<'_>, place: Rect, index: usize, goal: &GoalRow) {
    let theme = pen.theme();
    let response = pen.explained(place, index, || format!("now {} {}", goal.figure, goal.of));
    let rows = pen.rows(&goal.of, pen.style.small, place.width());
    let caption = rows.len() as f32 * pen.style.small * 1.35;
    let size = ((place.height() - caption) * 0.85).min(pen.style.huge);
    if size >= pen.style.body {
        let ink = pen.strong(&goal.figure, size, theme.ink);
        let foot = place.top() + ink.ink().height() + pen.len(2.0);
        let below = ink.stand(place.left(), foot).bottom() + pen.len(4.0);
        let at = pos2(place.left(), below);
        pen.write_rows(&rows, at, pen.style.small, theme.ink_soft);
    } else {
        let texts = [format!("{} {}", goal.figure, goal.of), goal.figure.clone()];
        let (font, at) = ((pen.style.small, theme.ink), place.left_top());
        pen.write_fitting(&texts, font, place.width(), at, Align2::LEFT_TOP);
    }
    pen.explain(response, help::DRILL_COUNT);
}
