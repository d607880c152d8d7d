//! A figure by week: small for a table row, and large with axes.

use super::aligned::count;
use super::figures::NONE;
use super::page::px;
use super::picture::{WIDTH, beside_words, picture};
use super::progress_words::value;
use crate::output::words::capital;
use crate::study::advice::measure::Measure;
use crate::study::progress::FigureProgress;
use crate::study::progress::periods::Period;
use maud::{Markup, html};

/// The lag is drawn from −40 to 40 ms. Origin: wider than the means of recorded solos.
const LAG: (f64, f64) = (-40.0, 40.0);

/// Most weeks with dates below a large chart.
const MAX_DATED: usize = 6;

/// The rectangle of the plot.
#[derive(Clone, Copy)]
struct Frame {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

impl Frame {
    fn x(self, figure: &FigureProgress, week: &Period) -> f64 {
        let ends = figure.weeks.first().zip(figure.weeks.last());
        let (since, all) = ends.map_or((0, 0), |(first, last)| {
            (week.from.since(first.from), last.from.since(first.from))
        });
        self.left + f64::from(since) / f64::from(all.max(7)) * (self.right - self.left)
    }

    /// The height of a value; one off the scale is at its edge.
    fn y(self, measure: Measure, value: f64) -> f64 {
        let (low, high) = scale(measure);
        let part = ((value - low) / (high - low)).clamp(0.0, 1.0);
        self.bottom - part * (self.bottom - self.top)
    }
}

fn scale(measure: Measure) -> (f64, f64) {
    if measure == Measure::Lag { LAG } else { (0.0, 1.0) }
}

/// The content of both charts: the norm as a band, a dot per week with its interval, hollow if beats are
/// approximate, and a line.
fn marks(figure: &FigureProgress, frame: Frame, dot: f64) -> Markup {
    let y = |value: f64| frame.y(figure.measure, value);
    let points: Vec<(f64, f64)> =
        figure.weeks.iter().map(|week| (frame.x(figure, week), y(week.value))).collect();
    let line: Vec<String> = points.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
    html! {
        @if let Some(norm) = figure.norm {
            @let (top, bottom) = (y(norm.high), y(norm.low));
            rect.band x=(px(frame.left - 4.0)) y=(px(top))
                width=(px(frame.right - frame.left + 8.0)) height=(px((bottom - top).max(0.5))) {}
        }
        polyline.line points=(line.join(" ")) {}
        @for ((x, at), week) in points.iter().zip(&figure.weeks) {
            @if let Some((from, to)) = week.interval {
                path.line d={ "M" (px(*x)) " " (px(y(from))) "V" (px(y(to))) } {}
            }
            @if week.about {
                circle.hollow cx=(px(*x)) cy=(px(*at)) r=(px(dot)) {}
            } @else {
                circle.mark cx=(px(*x)) cy=(px(*at)) r=(px(dot)) {}
            }
        }
    }
}

/// The small chart; its row has the rest in numbers.
pub fn small(figure: &FigureProgress) -> Markup {
    if figure.weeks.is_empty() {
        return html! { (NONE) };
    }
    let frame = Frame { left: 6.0, right: 114.0, top: 3.0, bottom: 27.0 };
    beside_words((120.0, 30.0), &marks(figure, frame, 2.5))
}

/// The large chart, with ticks, unit and dates; empty without weeks.
pub fn large(id: &str, figure: &FigureProgress) -> Markup {
    let (Some(first), Some(last)) = (figure.weeks.first(), figure.weeks.last()) else {
        return html! {};
    };
    let measure = figure.measure;
    let frame = Frame { left: 56.0, right: WIDTH - 24.0, top: 8.0, bottom: 118.0 };
    let (low, high) = scale(measure);
    let ticks = [low, f64::midpoint(low, high), high];
    let every = figure.weeks.len().div_ceil(MAX_DATED).max(1);
    let drawn = html! {
        @for tick in ticks {
            @let y = frame.y(measure, tick);
            path.thin d={ "M" (px(frame.left - 8.0)) " " (px(y)) "H" (px(WIDTH - 16.0)) } {}
            text.dim x=(px(frame.left - 12.0)) y=(px(y + 4.0)) font-size="11" text-anchor="end" {
                (value(measure, tick))
            }
        }
        (marks(figure, frame, 4.0))
        @for (index, week) in figure.weeks.iter().enumerate() {
            @if index % every == 0 {
                @let x = frame.x(figure, week);
                path.line d={ "M" (px(x)) " " (px(frame.bottom + 2.0)) "v4" } {}
                text.dim x=(px(x)) y=(px(frame.bottom + 18.0)) font-size="11" text-anchor="middle" {
                    (week.from)
                }
            }
        }
    };
    let what = capital(measure.words());
    let in_words =
        |week: &Period| format!("{} in the week of {}", value(measure, week.value), week.from);
    let description =
        format!("{} weeks: {}, {}", count(figure.weeks.len()), in_words(first), in_words(last));
    html! {
        figure {
            (picture(id, frame.bottom + 24.0, &format!("{what}, by week"), &description, &drawn))
            figcaption {
                (what) ", by week from Monday on, with 95 % CIs."
                @if figure.norm.is_some() { " The shaded band is the middle 80 % of recorded solos." }
                @if figure.weeks.iter().any(|week| week.about) {
                    " Of a week with a hollow dot, the beats of some takes are approximate."
                }
            }
        }
    }
}
