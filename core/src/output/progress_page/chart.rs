//! A figure by week, drawn as SVG.

use crate::study::advice::measures::Measure;
use crate::study::progress::FigureProgress;
use core::fmt::Write as _;

/// The drawing's size, in its own units.
const WIDTH: f64 = 180.0;
const HEIGHT: f64 = 40.0;
const MARGIN: f64 = 4.0;

/// The lag is drawn from −40 to 40 ms. Origin: wider than the means of recorded solos.
const LAG: (f64, f64) = (-40.0, 40.0);

/// The chart; what lies outside the scale is drawn at its edge.
pub(super) fn chart(figure: &FigureProgress) -> String {
    let (low, high) = if figure.measure == Measure::Lag { LAG } else { (0.0, 1.0) };
    let y = |value: f64| {
        let part = ((value - low) / (high - low)).clamp(0.0, 1.0);
        HEIGHT - MARGIN - part * (HEIGHT - 2.0 * MARGIN)
    };
    let (Some(first), Some(last)) = (figure.weeks.first(), figure.weeks.last()) else {
        return "–".to_owned();
    };
    let weeks = f64::from(last.from.since(first.from)) / 7.0;
    let step = (WIDTH - 4.0 * MARGIN) / weeks.max(1.0);
    let x = |week: f64| 2.0 * MARGIN + week * step;
    let mut drawn = String::new();
    // Writing to a String cannot fail.
    if let Some(norm) = figure.norm {
        let (top, bottom) = (y(norm.high), y(norm.low));
        let _ = write!(
            drawn,
            "<rect class=\"norm\" x=\"0\" y=\"{top:.1}\" width=\"{WIDTH}\" height=\"{:.1}\"/>",
            (bottom - top).max(0.5)
        );
    }
    let mut line = String::new();
    for week in &figure.weeks {
        let across = x(f64::from(week.from.since(first.from)) / 7.0);
        let _ = write!(line, "{across:.1},{:.1} ", y(week.value));
        if let Some((from, to)) = week.interval {
            let _ = write!(
                drawn,
                "<line class=\"interval\" x1=\"{across:.1}\" x2=\"{across:.1}\" y1=\"{:.1}\" \
                 y2=\"{:.1}\"/>",
                y(from),
                y(to)
            );
        }
        let _ = write!(drawn, "<circle cx=\"{across:.1}\" cy=\"{:.1}\" r=\"2.5\"/>", y(week.value));
    }
    let percent = |value: f64| match figure.measure {
        Measure::Lag => format!("{value:.0} ms"),
        _ => format!("{:.0} %", value * 100.0),
    };
    format!(
        "<svg viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" aria-label=\"From {} in the week of {} \
         to {} in the week of {}\">{drawn}<polyline points=\"{}\"/></svg>",
        percent(first.value),
        first.from,
        percent(last.value),
        last.from,
        line.trim_end()
    )
}
