//! The drill under way: what is due, what counts now, and its choruses; or what came out.

use crate::command::action::Action;
use crate::command::drill::DrillCommand;
use crate::panel::practice::foot::foot;
use crate::panel::practice::{marks, sentences};
use crate::panel::state::PanelState;
use crate::panel::state::practice::Page;
use crate::panel::style::Style;
use crate::panel::widgets::area::{child, split_top};
use crate::panel::widgets::help;
use crate::panel::widgets::text::{self, Line};
use crate::view_model::drill_score::GoalRow;
use crate::view_model::practice::DrillRun;
use egui::{Align2, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2};
use overbar_core::practice::DrillState;

/// The page, over the whole of `ui`.
pub fn live(
    ui: &mut Ui,
    style: &Style,
    run: &DrillRun,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let buttons: &[(&str, &str)] = if run.under_way && run.passed.is_none() {
        &[("Stop", "Stop the drill"), ("Result", "Result in words"), ("All drills", "All drills")]
    } else {
        &[("Again", "Start it again"), ("Result", "Result in words"), ("All drills", "All drills")]
    };
    let (body, pressed) = foot(ui, style, area, None, buttons);
    match pressed {
        Some(0) if run.under_way && run.passed.is_none() => {
            acts.push(Action::Practice(DrillCommand::End))
        }
        Some(0) => acts.push(Action::Practice(DrillCommand::Start)),
        Some(1) => state.practice.open(Page::Told),
        Some(_) => {
            // What is over is put with the results.
            if run.passed.is_some() && run.under_way {
                acts.push(Action::Practice(DrillCommand::End));
            }
            state.practice.open(Page::Drills);
        }
        None => {}
    }
    let body = head(ui, style, body, run);
    let (left, right) = body.split_left_right_at_fraction(0.46);
    let left = left.with_max_x(left.right() - style.len(10.0));
    let rule = Stroke::new(1.0, style.theme.rule);
    ui.painter().vline(right.left(), body.y_range(), rule);
    let right = right.with_min_x(right.left() + style.len(10.0));
    let rest = due(ui, style, left, run);
    counts(&mut child(ui, rest, "counts"), style, &run.now);
    let list = &mut child(ui, right, "choruses");
    marks::marks(list, style, right, run, &mut state.practice.choruses);
}

/// Where the drill is, in a sentence.
pub fn where_it_is(run: &DrillRun) -> String {
    match (run.passed, run.under_way) {
        (Some(true), _) => "That was all of it: pass mark reached.".to_owned(),
        (Some(false), _) => "That was all of it: pass mark not reached.".to_owned(),
        (None, false) => "It was ended.".to_owned(),
        (None, true) => run.state.to_string(),
    }
}

/// Name, place and aims; gives what is left.
fn head(ui: &mut Ui, style: &Style, area: Rect, run: &DrillRun) -> Rect {
    let theme = &style.theme;
    let place = where_it_is(run);
    let painter = ui.painter();
    let place_line = Line::strong(painter, &place, style.body, theme.ink);
    let name = Line::new(painter, &run.name, style.body, theme.ink_soft);
    let one_row = name.width() + place_line.width() + style.len(16.0) <= area.width();
    let mut lower = area.top();
    if one_row {
        name.paint(painter, area.right_top(), Align2::RIGHT_TOP);
    }
    let placed = if place_line.width() <= area.width() {
        place_line.paint(painter, area.left_top(), Align2::LEFT_TOP)
    } else {
        let line = Line::wrapped(painter, &place, style.body, theme.ink, area.width());
        line.paint(painter, area.left_top(), Align2::LEFT_TOP)
    };
    lower = lower.max(placed.bottom());
    let rows = sentences::as_many_as_fit(painter, &run.aims, (style.caption, area.width()), 2);
    for row in rows {
        let line = Line::new(painter, row, style.caption, theme.ink_soft);
        lower = line.paint(painter, pos2(area.left(), lower), Align2::LEFT_TOP).bottom();
    }
    let (head, rest) = split_top(area, lower - area.top() + style.len(8.0));
    let response = ui.interact(head, ui.scope_id().with("head"), Sense::hover());
    response.widget_info(|| {
        let label = format!("{}: {place} {}", run.name, run.aims.join(" "));
        WidgetInfo::labeled(Role::Status, true, label)
    });
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
        Some(then) => format!("due next: {now}; then {then}"),
        None => format!("due next: {now}"),
    };
    Some(DueSign { caption: "due next", sign, words })
}

/// What is due; gives what is left under it.
fn due(ui: &mut Ui, style: &Style, area: Rect, run: &DrillRun) -> Rect {
    let asked = sign(run).filter(|_| run.under_way && run.passed.is_none());
    let Some(DueSign { caption, sign, words: label }) = asked else { return area };
    let theme = &style.theme;
    let painter = ui.painter();
    let mut size = style.large * 1.5;
    let width = |size| Line::strong(painter, &sign, size, theme.off).width();
    if width(size) > area.width() {
        size *= area.width() / width(size);
    }
    let then = (!run.then.is_empty()).then(|| {
        let signs: Vec<&str> = run.then.iter().map(|due| due.sign.as_str()).collect();
        format!("then {}", signs.join(" · "))
    });
    let caption = Line::new(painter, caption, style.small, theme.ink_soft);
    let mut y = caption.paint(painter, area.left_top(), Align2::LEFT_TOP).bottom();
    let line = Line::strong(painter, &sign, size.max(style.small), theme.off);
    let placed = line.paint(painter, pos2(area.left(), y), Align2::LEFT_TOP);
    y = placed.bottom();
    let room = area.right() - placed.right() - style.len(10.0);
    if let Some(then) = then
        && let Some(line) =
            text::first_that_fits(painter, &[then], style.small, theme.ink_soft, room)
    {
        let at = pos2(placed.right() + style.len(10.0), placed.center().y);
        line.paint(painter, at, Align2::LEFT_CENTER);
    }
    let (place, rest) = split_top(area, y - area.top() + style.len(4.0));
    let response = ui.interact(place, ui.scope_id().with("due"), help::sense());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
    help::explain(ui, style, response, help::DRILL_DUE);
    rest
}

/// The figures that count now: one large, several smaller, as many as fit.
fn counts(ui: &mut Ui, style: &Style, goals: &[GoalRow]) {
    let area = ui.max_rect();
    let theme = &style.theme;
    let lowest = style.small * 1.45;
    let fit = (area.height() / lowest) as usize;
    let shown = if goals.len() <= fit { goals.len() } else { fit.saturating_sub(1) };
    let more = goals.len() - shown;
    let parts = shown + usize::from(more > 0);
    let height = area.height() / parts.max(1) as f32;
    let place = |index: usize| {
        let top = area.top() + index as f32 * height;
        Rect::from_x_y_ranges(area.x_range(), top..=top + height)
    };
    for (index, goal) in goals.iter().take(shown).enumerate() {
        one(ui, style, place(index), index, goal);
    }
    if more > 0 {
        let text = format!("and {more} more, under Result");
        let line = Line::new(ui.painter(), text, style.small, theme.ink_soft);
        line.paint(ui.painter(), place(shown).left_top(), Align2::LEFT_TOP);
    }
}

/// A figure: large with what it is of under it, or in a line.
fn one(ui: &mut Ui, style: &Style, place: Rect, index: usize, goal: &GoalRow) {
    let theme = &style.theme;
    let response = ui.interact(place, ui.scope_id().with(index), help::sense());
    let label = format!("now {} {}", goal.figure, goal.of);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
    let painter = ui.painter();
    let rows = text::rows(painter, &goal.of, style.small, place.width());
    let caption = rows.len() as f32 * style.small * 1.35;
    let size = ((place.height() - caption) * 0.85).min(style.huge);
    if size >= style.body {
        let ink = Line::strong(painter, &goal.figure, size, theme.ink);
        let foot = place.top() + ink.ink().height() + style.len(2.0);
        let mut below = ink.stand(painter, place.left(), foot).bottom() + style.len(4.0);
        for row in rows {
            let line = Line::new(painter, row, style.small, theme.ink_soft);
            below = line.paint(painter, pos2(place.left(), below), Align2::LEFT_TOP).bottom();
        }
    } else {
        let texts = [format!("{} {}", goal.figure, goal.of), goal.figure.clone()];
        let room = place.width();
        if let Some(line) = text::first_that_fits(painter, &texts, style.small, theme.ink, room) {
            line.paint(painter, place.left_top(), Align2::LEFT_TOP);
        }
    }
    help::explain(ui, style, response, help::DRILL_COUNT);
}
