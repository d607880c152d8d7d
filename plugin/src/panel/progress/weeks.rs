//! A figure by week, or by day if there are few weeks: a point each with its 95 % interval, over the range of
//! recorded solos.

use crate::panel::widgets::Pen;
use egui::{CornerRadius, Pos2, Rect, Shape, Stroke, pos2, vec2};
use overbar_core::study::advice::measure::Measure;
use overbar_core::study::progress::FigureProgress;
use overbar_core::study::progress::periods::Period;

/// The scale of the lag, −40 to 40 ms. Origin: wider than the means of recorded solos.
const LAG: (f64, f64) = (-40.0, 40.0);

/// With fewer weeks than this, the figure is drawn by day.
const MIN_WEEKS: usize = 3;

/// Draws the figure into `area`; values outside the scale are drawn at its edge.
pub fn weeks(pen: &Pen<'_>, area: Rect, figure: &FigureProgress) {
    let (painter, theme) = (pen.painter(), pen.theme());
    painter.rect_filled(area, CornerRadius::ZERO, theme.raised);
    let (low, high) = if figure.measure == Measure::Lag { LAG } else { (0.0, 1.0) };
    let inner = area.shrink2(vec2(pen.len(6.0), pen.len(3.0)));
    let y = |value: f64| {
        let part = ((value - low) / (high - low)).clamp(0.0, 1.0);
        egui::lerp(inner.bottom()..=inner.top(), part as f32)
    };
    if let Some(norm) = figure.norm {
        let high = y(norm.high)..=y(norm.low).max(y(norm.high) + 1.0);
        let band = Rect::from_x_y_ranges(area.x_range(), high);
        painter.rect_filled(band, CornerRadius::ZERO, theme.norm);
    }
    let periods = if figure.weeks.len() < MIN_WEEKS { &figure.days } else { &figure.weeks };
    let (Some(first), Some(last)) = (periods.first(), periods.last()) else { return };
    let span = last.from.since(first.from).max(1) as f32;
    let x = |since: i32| egui::lerp(inner.x_range(), since as f32 / span);
    let at = |period: &Period| pos2(x(period.from.since(first.from)), y(period.value));
    let points: Vec<Pos2> = periods.iter().map(at).collect();
    for (at, period) in points.iter().zip(periods) {
        if let Some((from, to)) = period.interval {
            painter.vline(at.x, y(to)..=y(from), Stroke::new(1.0, theme.ink_soft));
        }
    }
    painter.add(Shape::line(points.clone(), Stroke::new(pen.len(1.2), theme.ink_soft)));
    for at in points {
        painter.circle_filled(at, pen.len(2.2), theme.ink);
    }
}
