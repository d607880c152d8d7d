//! The choruses of a drill, a row of marks each.

use crate::panel::style::Style;
use crate::panel::widgets::scroll::Scroll;
use crate::panel::widgets::text::Line;
use crate::panel::widgets::{button, help};
use crate::view_model::drill_score::{ChorusRow, GoalMark, GoalRow};
use crate::view_model::practice::DrillRun;
use egui::{Align2, CornerRadius, Painter, Rect, Role, Ui, WidgetInfo, pos2, vec2};

/// A mark is no wider, in points at the default size.
const WIDEST: f32 = 18.0;

/// The rows, over `area`, the newest in sight.
pub fn marks(ui: &mut Ui, style: &Style, area: Rect, run: &DrillRun, scroll: &mut Scroll) {
    let side = style.len(14.0);
    let list = area.with_max_x(area.right() - side);
    let rows: Vec<(&ChorusRow, usize, &GoalRow)> = run
        .choruses
        .iter()
        .flat_map(|chorus| {
            chorus.goals.iter().enumerate().map(move |(at, goal)| (chorus, at, goal))
        })
        .collect();
    let least = button::height(style);
    let pitch = (area.height() / rows.len().max(1) as f32).clamp(least, least * 1.6);
    let fit = (area.height() / pitch).max(1.0) as usize;
    let all = 0..rows.len();
    scroll.wheel(ui, area, pitch, &all, fit);
    let climbs = run.choruses.iter().any(|chorus| chorus.round > 1);
    let ink = style.theme.ink;
    let width = |text: &str| Line::new(ui.painter(), text, style.small, ink).width();
    let names = rows.iter().map(|(chorus, at, goal)| width(&name(chorus, *at, goal, climbs)));
    let names = names.fold(0.0, f32::max) + style.len(8.0);
    let sight = scroll.sight(all.clone(), fit);
    let first = sight.start;
    for (place, (chorus, at, goal)) in rows.get(sight).unwrap_or_default().iter().enumerate() {
        let top = list.top() + place as f32 * pitch;
        let lane = Rect::from_min_size(pos2(list.left(), top), vec2(list.width(), pitch));
        // Where a take ended in the middle of a drill, choruses may be called alike.
        let id = ui.scope_id().with(first + place);
        let response = ui.interact(lane, id, help::sense());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, label(chorus, goal)));
        let name = name(chorus, *at, goal, climbs);
        if !name.is_empty() {
            let text = Line::new(ui.painter(), name, style.small, ink);
            text.paint(ui.painter(), lane.left_center(), Align2::LEFT_CENTER);
        }
        let figure = Line::new(ui.painter(), &goal.figure, style.small, ink);
        let right = lane.right() - style.len(4.0);
        let figure = figure.paint(ui.painter(), pos2(right, lane.center().y), Align2::RIGHT_CENTER);
        let room = lane.left() + names..=figure.left() - style.len(8.0);
        ticks(ui.painter(), style, Rect::from_x_y_ranges(room, lane.y_range()), &goal.marks);
        help::explain(ui, style, response, help::DRILL_MARKS);
    }
    let bar = Rect::from_x_y_ranges(area.right() - side * 0.8..=area.right(), area.y_range());
    scroll.bar(ui, style, bar, "choruses", &all, fit);
}

fn name(chorus: &ChorusRow, at: usize, goal: &GoalRow, climbs: bool) -> String {
    let number = match (at, climbs) {
        (0, false) => chorus.chorus.to_string(),
        (0, true) => format!("{:.0}: {}", chorus.tempo, chorus.chorus),
        _ => String::new(),
    };
    format!("{number} {}", goal.asked).trim().to_owned()
}

fn label(chorus: &ChorusRow, goal: &GoalRow) -> String {
    let asked = if goal.asked.is_empty() { String::new() } else { format!(", {}", goal.asked) };
    let end = match goal.met {
        Some(true) => ", pass mark reached",
        Some(false) => ", pass mark not reached",
        None => ", not heard to its end",
    };
    let (number, tempo) = (chorus.chorus, chorus.tempo);
    format!("chorus {number} at {tempo:.0}{asked}: {} {}{end}", goal.figure, goal.of)
}

/// A full block for what was met, a low one for what was not, a point for what is to come.
fn ticks(painter: &Painter, style: &Style, area: Rect, marks: &[GoalMark]) {
    if marks.is_empty() || area.width() <= 0.0 {
        return;
    }
    let step = (area.width() / marks.len() as f32).min(style.len(WIDEST));
    let gap = (step * 0.22).min(style.len(2.0));
    let high = area.height() * 0.62;
    let foot = area.center().y + high / 2.0;
    let theme = &style.theme;
    for (index, mark) in marks.iter().enumerate() {
        let left = area.left() + index as f32 * step;
        let block =
            |height: f32| Rect::from_x_y_ranges(left..=left + step - gap, foot - height..=foot);
        let none = CornerRadius::ZERO;
        match mark {
            GoalMark::Met => painter.rect_filled(block(high), none, theme.calm),
            GoalMark::Missed => painter.rect_filled(block(high * 0.3), none, theme.alert),
            GoalMark::Ahead => {
                painter.circle_filled(block(high).center(), (step * 0.12).max(0.7), theme.ink_soft)
            }
        };
    }
}
