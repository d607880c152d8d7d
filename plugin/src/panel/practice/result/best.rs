//! The best earlier result of the same goal above this one, each a point with its likely range.

use crate::panel::widgets::{Pen, help};
use crate::view_model::drill_past::PastGoal;
use crate::view_model::drill_score::GoalRow;
use egui::{Align2, CornerRadius, Rect, Stroke, lerp, pos2};
use overbar_core::stats::Share;

/// Both rows, filling `area`.
pub fn best(pen: &Pen<'_>, area: Rect, now: &GoalRow, past: Option<&PastGoal>) {
    let label = || match past {
        Some(past) => format!(
            "best before: {} of {} on {}; now {} of {}",
            past.best.count, past.best.of, past.day, now.share.count, now.share.of
        ),
        None => "no earlier result of this drill".to_owned(),
    };
    let response = pen.explained(area, "best", label);
    pen.explain(response, help::DRILL_BEST);
    let (upper, lower) = area.split_top_bottom_at_fraction(0.5);
    match past {
        Some(past) => {
            let names = [format!("Best before, {}", past.day), "Best before".to_owned()];
            let interval = past.best.interval().filter(|_| now.interval.is_some());
            one(pen, upper, &names, past.best, interval);
        }
        None => {
            let texts = ["No earlier result of this drill.", "No earlier result."];
            let (font, at) = ((pen.style.small, pen.theme().ink_soft), upper.left_center());
            pen.write_fitting(&texts, font, area.width(), at, Align2::LEFT_CENTER);
        }
    }
    one(pen, lower, &["Now".to_owned()], now.share, now.interval);
}

/// A name and a count above the share on a line from 0 to 100 %.
fn one(pen: &Pen<'_>, area: Rect, names: &[String], share: Share, interval: Option<(f64, f64)>) {
    let (painter, theme) = (pen.painter(), pen.theme());
    let count = pen.small(format!("{} of {}", share.count, share.of));
    let line = count.paint(area.right_top(), Align2::RIGHT_TOP);
    let room = line.left() - area.left() - pen.len(6.0);
    let font = (pen.style.small, theme.ink_soft);
    pen.write_fitting(names, font, room, area.left_top(), Align2::LEFT_TOP);
    let reach = pen.len(3.0);
    let y = (line.bottom() + pen.len(4.0)).min(area.bottom() - reach);
    let x = |share: f64| lerp(area.x_range().shrink(reach), share as f32);
    let track = Rect::from_x_y_ranges(area.x_range(), y - reach..=y + reach);
    painter.rect_filled(track, CornerRadius::ZERO, theme.raised);
    if let Some((low, high)) = interval {
        painter.hline(x(low)..=x(high), y, Stroke::new(pen.len(1.6), theme.ink));
    }
    if let Some(share) = share.share() {
        painter.circle_filled(pos2(x(share), y), reach * 1.2, theme.ink);
    }
}
