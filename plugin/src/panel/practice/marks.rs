//! The choruses of a drill, a row of marks each.

use crate::panel::frame::{Frame, List};
use crate::panel::widgets::{Pen, help};
use crate::view_model::drill_score::{ChorusRow, GoalMark, GoalRow};
use crate::view_model::practice::DrillRun;
use egui::{Align2, CornerRadius, Rect, pos2};

/// Minimum text size while playing, in points at the default size: in a window of 1280 × 800 points its
/// capitals are 10 mm high, 1/200 of two metres.
pub const GLANCE: f32 = 30.0;

/// Maximum width of a mark, in points at the default size.
const WIDEST: f32 = 34.0;

/// The minimum and maximum height of a row.
fn heights(pen: &Pen<'_>) -> (f32, f32) {
    let min = pen.len(GLANCE * 1.15);
    (min, min * 1.6)
}

/// Maximum share of a row for its name.
const NAMES: f32 = 0.42;

/// The rows: each goal of each chorus.
fn rows(run: &DrillRun) -> Vec<(&ChorusRow, usize)> {
    let goals = |chorus| core::iter::repeat(chorus).zip(0..);
    run.choruses.iter().flat_map(|chorus| goals(chorus).take(chorus.goals.len())).collect()
}

/// The total height of all rows.
pub fn height(pen: &Pen<'_>, run: &DrillRun) -> f32 {
    heights(pen).1 * rows(run).len() as f32
}

/// The rows, filling their area, scrolled to the newest.
pub fn marks(f: &mut Frame<'_>, run: &DrillRun) {
    let area = f.area();
    let rows = rows(run);
    let (min, max) = heights(f);
    let pitch = (area.height() / rows.len().max(1) as f32).clamp(min, max);
    let size = f.len(GLANCE);
    let climbs = run.choruses.iter().any(|chorus| chorus.round > 1);
    // The longest form of the names that leaves room for the marks.
    let room = area.width() * NAMES;
    let widest = |form: usize| {
        let widths =
            rows.iter().map(|(chorus, at)| f.width(&names(chorus, *at, climbs)[form], size));
        widths.fold(0.0, f32::max)
    };
    let form = (0..FORMS).find(|form| widest(*form) <= room).unwrap_or(FORMS - 1);
    let left = widest(form).min(room) + f.len(8.0);
    let list =
        List::new("choruses", area, (pitch, rows.len()), |state| &mut state.practice.choruses);
    f.list(list, |f, index, lane| {
        let (chorus, at) = rows[index];
        let goal = &chorus.goals[at];
        // If a take ended during a drill, several choruses may have the same name.
        let response = f.explained(lane, index, || label(chorus, goal));
        let name = &names(chorus, at, climbs)[form];
        if !name.is_empty() {
            let (font, at) = ((size, f.theme().ink), lane.left_center());
            f.write_fitting(&[name], font, room, at, Align2::LEFT_CENTER);
        }
        let right = pos2(lane.right() - f.len(4.0), lane.center().y);
        let figure = f.line(figure(goal), size, f.theme().ink);
        let figure = figure.paint(right, Align2::RIGHT_CENTER);
        let room = lane.left() + left..=figure.left() - f.len(8.0);
        ticks(f, Rect::from_x_y_ranges(room, lane.y_range()), &goal.marks);
        f.explain(response, help::DRILL_MARKS);
    });
}

/// Its figure; with what is counted if it is a count.
fn figure(goal: &GoalRow) -> String {
    let (count, of) = (goal.share.count, goal.share.of);
    match goal.figure == count.to_string() && goal.marks.len() > 1 {
        true => format!("{count}/{of}"),
        false => goal.figure.clone(),
    }
}

const FORMS: usize = 3;

/// The name of a row, from long to short.
fn names(chorus: &ChorusRow, at: usize, climbs: bool) -> [String; FORMS] {
    let number = chorus.chorus;
    let [long, short] = match (at, climbs) {
        (0, false) => [format!("Chorus {number}"), number.to_string()],
        (0, true) => {
            let tempo = format!("{:.0} BPM", chorus.tempo);
            [format!("{tempo} · chorus {number}"), format!("{:.0} · {number}", chorus.tempo)]
        }
        _ => Default::default(),
    };
    let with = |number: &str| match (number, chorus.goals[at].asked.as_str()) {
        (number, "") => number.to_owned(),
        ("", asked) => asked.to_owned(),
        (number, asked) => format!("{number} · {asked}"),
    };
    [with(&long), with(&short), short.clone()]
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

/// A full block for a hit, a low one for a miss, a point for what is still to come.
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
