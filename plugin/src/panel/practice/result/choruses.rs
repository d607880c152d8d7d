//! The choruses of a goal side by side: columns, each as high as its share.

use crate::panel::widgets::{Pen, help};
use crate::panel::words::percent;
use crate::view_model::drill_score::{ChorusRow, GoalRow};
use crate::view_model::practice::DrillRun;
use egui::{Align2, CornerRadius, Rect, Stroke, StrokeKind, pos2};

/// Minimum and maximum width of a column, in points of the default window.
const WIDTHS: (f32, f32) = (30.0, 84.0);

/// The choruses that were played to the end, with goal `index` of each.
fn complete(run: &DrillRun, index: usize) -> Vec<(&ChorusRow, &GoalRow)> {
    let complete = run.choruses.iter().filter(|chorus| chorus.complete);
    complete.filter_map(|chorus| Some((chorus, chorus.goals.get(index)?))).collect()
}

/// The width of all columns at their widest.
pub fn width(pen: &Pen<'_>, run: &DrillRun, index: usize) -> f32 {
    pen.len(WIDTHS.1) * complete(run, index).len() as f32
}

/// The columns of goal `index`, the newest that fit.
pub fn choruses(pen: &Pen<'_>, area: Rect, run: &DrillRun, index: usize) {
    let all = complete(run, index);
    // The pass mark is named at the right.
    let mark = pen.soft(percent(run.pass));
    let room = mark.width() + pen.len(4.0);
    let is_named = area.width() >= room + pen.len(WIDTHS.1);
    let area = area.with_max_x(area.right() - if is_named { room } else { 0.0 });
    let fit = ((area.width() / pen.len(WIDTHS.0)) as usize).max(1);
    let climbs = run.choruses.iter().any(|chorus| chorus.round > 1);
    let shown = &all[all.len().saturating_sub(fit)..];
    let width = (area.width() / shown.len().max(1) as f32).min(pen.len(WIDTHS.1));
    let (painter, theme) = (pen.painter(), pen.theme());
    let row = pen.style.small * 1.3;
    let bars = area.y_range().shrink(row);
    let pass = egui::lerp(bars.max..=bars.min, run.pass as f32);
    if is_named && bars.span() > 0.0 && !shown.is_empty() {
        let x = area.left() + width * shown.len() as f32 + pen.len(4.0);
        mark.paint(pos2(x, pass), Align2::LEFT_CENTER);
    }
    for (number, (chorus, goal)) in shown.iter().enumerate() {
        let left = area.left() + number as f32 * width;
        let lane = Rect::from_x_y_ranges(left..=left + width, area.y_range());
        let name = match climbs {
            true => format!("{:.0}", chorus.tempo),
            false => chorus.chorus.to_string(),
        };
        let (count, of) = (goal.share.count, goal.share.of);
        let response = pen.explained(lane, ("chorus", number), || {
            let end = if goal.met == Some(true) { "passed" } else { "not passed" };
            let (round, chorus, tempo) = (chorus.round, chorus.chorus, chorus.tempo);
            format!("round {round}, chorus {chorus} at {tempo:.0} BPM: {count} of {of}, {end}")
        });
        pen.explain(response, help::DRILL_CHORUSES);
        let middle = lane.center().x;
        pen.soft(&name).paint(pos2(middle, area.bottom()), Align2::CENTER_BOTTOM);
        let texts = [format!("{count}/{of}"), count.to_string()];
        let font = (pen.style.small, theme.ink);
        pen.write_fitting(&texts, font, width, pos2(middle, area.top()), Align2::CENTER_TOP);
        let column = lane.shrink2(egui::vec2(width * 0.18, 0.0));
        let column = column.with_min_y(area.top() + row).with_max_y(area.bottom() - row);
        if column.height() <= 0.0 {
            continue;
        }
        painter.rect_filled(column, CornerRadius::ZERO, theme.raised);
        let share = goal.share.share().unwrap_or(0.0) as f32;
        let top = egui::lerp(column.bottom()..=column.top(), share);
        let block = column.with_min_y(top);
        if goal.met == Some(true) {
            painter.rect_filled(block, CornerRadius::ZERO, theme.calm);
        } else {
            let stroke = Stroke::new(pen.len(1.6), theme.alert);
            painter.rect_stroke(block, CornerRadius::ZERO, stroke, StrokeKind::Inside);
        }
        painter.hline(lane.x_range(), pass, Stroke::new(1.0, theme.ink));
    }
}
