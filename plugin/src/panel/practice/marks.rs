//! The choruses of a drill, a row of marks each.

use crate::panel::frame::{Frame, List};
use crate::panel::widgets::{Pen, button, help};
use crate::view_model::drill_score::{ChorusRow, GoalMark, GoalRow};
use crate::view_model::practice::DrillRun;
use egui::{Align2, CornerRadius, Rect, pos2};

/// A mark is no wider, in points at the default size.
const WIDEST: f32 = 26.0;

/// The rows, filling their area, the newest in sight.
pub fn marks<'r>(f: &mut Frame<'_>, run: &'r DrillRun) {
    let area = f.area();
    let goals = |chorus: &'r ChorusRow| (0..chorus.goals.len()).map(move |at| (chorus, at));
    let rows: Vec<(&ChorusRow, usize)> = run.choruses.iter().flat_map(goals).collect();
    let least = button::height(f.style);
    let pitch = (area.height() / rows.len().max(1) as f32).clamp(least, least * 2.6);
    let climbs = run.choruses.iter().any(|chorus| chorus.round > 1);
    let names = f.widest(rows.iter().map(|(chorus, at)| name(chorus, *at, climbs))) + f.len(8.0);
    let list =
        List::new("choruses", area, (pitch, rows.len()), |state| &mut state.practice.choruses);
    f.list(list, |f, index, lane| {
        let (chorus, at) = rows[index];
        let goal = &chorus.goals[at];
        // Where a take ended in the middle of a drill, choruses may be called alike.
        let response = f.explained(lane, index, || label(chorus, goal));
        let name = name(chorus, at, climbs);
        if !name.is_empty() {
            f.small(name).paint(lane.left_center(), Align2::LEFT_CENTER);
        }
        let right = pos2(lane.right() - f.len(4.0), lane.center().y);
        let figure = f.small(&goal.figure).paint(right, Align2::RIGHT_CENTER);
        let room = lane.left() + names..=figure.left() - f.len(8.0);
        ticks(f, Rect::from_x_y_ranges(room, lane.y_range()), &goal.marks);
        f.explain(response, help::DRILL_MARKS);
    });
}

fn name(chorus: &ChorusRow, at: usize, climbs: bool) -> String {
    let number = match (at, climbs) {
        (0, false) => format!("Chorus {}", chorus.chorus),
        (0, true) => format!("{:.0} BPM · chorus {}", chorus.tempo, chorus.chorus),
        _ => String::new(),
    };
    match (number.as_str(), chorus.goals[at].asked.as_str()) {
        (number, "") => number.to_owned(),
        ("", asked) => asked.to_owned(),
        (number, asked) => format!("{number} · {asked}"),
    }
}

fn label(chorus: &ChorusRow, goal: &GoalRow) -> String {
    let asked = if goal.asked.is_empty() { String::new() } else { format!(", {}", goal.asked) };
    let end = match goal.met {
        Some(true) => ", passed",
        Some(false) => ", not passed",
        None => ", incomplete",
    };
    let (number, tempo) = (chorus.chorus, chorus.tempo);
    format!("chorus {number} at {tempo:.0} BPM{asked}: {} {}{end}", goal.figure, goal.of)
}

/// A full block for what was met, a low one for what was not, a point for what is to come.
fn ticks(pen: &Pen<'_>, area: Rect, marks: &[GoalMark]) {
    if marks.is_empty() || area.width() <= 0.0 {
        return;
    }
    let step = (area.width() / marks.len() as f32).min(pen.len(WIDEST));
    let gap = (step * 0.22).min(pen.len(2.0));
    let high = area.height() * 0.62;
    let foot = area.center().y + high / 2.0;
    let (painter, theme) = (pen.painter(), pen.theme());
    for (index, mark) in marks.iter().enumerate() {
        let left = area.left() + index as f32 * step;
        let block =
            |height: f32| Rect::from_x_y_ranges(left..=left + step - gap, foot - height..=foot);
        let none = CornerRadius::ZERO;
        match mark {
            GoalMark::Met => painter.rect_filled(block(high), none, theme.calm),
            GoalMark::Missed => painter.rect_filled(block(high * 0.3), none, theme.alert),
            GoalMark::Ahead => {
                let radius = (step * 0.12).max(0.7);
                painter.circle_filled(block(high).center(), radius, theme.ink_soft)
            }
        };
    }
}
