//! A figure by week, or by day where there are few weeks: a point each with its 95 % interval, over the range of recorded solos.

use crate::panel::style::Style;
use egui::{CornerRadius, Painter, Rect, Shape, Stroke, pos2, vec2};
use overbar_core::study::advice::measure::Measure;
use overbar_core::study::progress::FigureProgress;

/// The lag is drawn from −40 to 40 ms. Origin: wider than the means of recorded solos.
const LAG: (f64, f64) = (-40.0, 40.0);

/// Fewer weeks than this are drawn day by day.
const LEAST_WEEKS: usize = 3;

/// Draws the figure into `area`; what lies outside the scale is drawn at its edge.
pub fn weeks(painter: &Painter, style: &Style, area: Rect, figure: &FigureProgress) {
    let theme = &style.theme;
    painter.rect_filled(area, CornerRadius::ZERO, theme.raised);
    let (low, high) = if figure.measure == Measure::Lag { LAG } else { (0.0, 1.0) };
    let inner = area.shrink2(vec2(style.len(6.0), style.len(3.0)));
    let y = |value: f64| {
        let part = ((value - low) / (high - low)).clamp(0.0, 1.0);
        egui::lerp(inner.bottom()..=inner.top(), part as f32)
    };
    if let Some(norm) = figure.norm {
        let band = Rect::from_x_y_ranges(
            area.x_range(),
            y(norm.high)..=y(norm.low).max(y(norm.high) + 1.0),
        );
        painter.rect_filled(band, CornerRadius::ZERO, theme.norm);
    }
    let periods = if figure.weeks.len() < LEAST_WEEKS { &figure.days } else { &figure.weeks };
    let (Some(first), Some(last)) = (periods.first(), periods.last()) else { return };
    let span = last.from.since(first.from).max(1) as f32;
    let x = |since: i32| egui::lerp(inner.x_range(), since as f32 / span);
    let mut line = Vec::with_capacity(periods.len());
    for period in periods {
        let at = pos2(x(period.from.since(first.from)), y(period.value));
        if let Some((from, to)) = period.interval {
            let whisker = Stroke::new(1.0, theme.ink_soft);
            painter.vline(at.x, y(to)..=y(from), whisker);
        }
        line.push(at);
    }
    let points = line.clone();
    painter.add(Shape::line(line, Stroke::new(style.len(1.2), theme.ink_soft)));
    for at in points {
        painter.circle_filled(at, style.len(2.2), theme.ink);
    }
}
