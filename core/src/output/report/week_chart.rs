//! A figure by week, drawn as SVG.

use super::figures::NONE;
use super::page::px;
use crate::study::advice::measure::Measure;
use crate::study::progress::FigureProgress;
use maud::{Markup, html};

/// The drawing's size, in its own units.
const WIDTH: f64 = 180.0;
const HEIGHT: f64 = 40.0;
const MARGIN: f64 = 4.0;

/// The lag is drawn from −40 to 40 ms. Origin: wider than the means of recorded solos.
const LAG: (f64, f64) = (-40.0, 40.0);

/// The chart; values outside the scale are drawn at its edge.
pub fn week_chart(figure: &FigureProgress) -> Markup {
    let (low, high) = if figure.measure == Measure::Lag { LAG } else { (0.0, 1.0) };
    let y = |value: f64| {
        let part = ((value - low) / (high - low)).clamp(0.0, 1.0);
        HEIGHT - MARGIN - part * (HEIGHT - 2.0 * MARGIN)
    };
    let (Some(first), Some(last)) = (figure.weeks.first(), figure.weeks.last()) else {
        return html! { (NONE) };
    };
    let weeks = f64::from(last.from.since(first.from)) / 7.0;
    let step = (WIDTH - 4.0 * MARGIN) / weeks.max(1.0);
    let points: Vec<_> = figure
        .weeks
        .iter()
        .map(|week| {
            let x = 2.0 * MARGIN + f64::from(week.from.since(first.from)) / 7.0 * step;
            (px(x), px(y(week.value)), week.interval)
        })
        .collect();
    let line: Vec<String> = points.iter().map(|(x, y, _)| format!("{x},{y}")).collect();
    let told = |value: f64| match figure.measure {
        Measure::Lag => format!("{value:.0} ms"),
        _ => format!("{:.0} %", value * 100.0),
    };
    let label = format!(
        "From {} in the week of {} to {} in the week of {}",
        told(first.value),
        first.from,
        told(last.value),
        last.from
    );
    html! {
        svg viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label=(label) {
            @if let Some(norm) = figure.norm {
                @let (top, bottom) = (y(norm.high), y(norm.low));
                rect.norm x="0" y=(px(top)) width=(WIDTH) height=(px((bottom - top).max(0.5))) {}
            }
            @for (x, at, interval) in &points {
                @if let Some((from, to)) = *interval {
                    line.interval x1=(x) x2=(x) y1=(px(y(from))) y2=(px(y(to))) {}
                }
                circle cx=(x) cy=(at) r="2.5" {}
            }
            polyline points=(line.join(" ")) {}
        }
    }
}
