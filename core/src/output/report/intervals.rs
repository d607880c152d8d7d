//! Differences drawn as intervals: each on a line with 0 marked, all on one axis.

use super::figures::NONE;
use super::page::{Cell, Column, px, table_with_axis};
use super::picture::{Axis, beside_words, whisker};
use maud::{Markup, html};

/// Width and height of a row of the plot, and of its axis.
const ROW: (f64, f64) = (300.0, 22.0);
const AXIS: (f64, f64) = (300.0, 20.0);

/// A difference, in the unit of its axis.
pub struct Interval {
    /// Its label.
    pub label: Markup,
    /// The difference in words, and its 95 % CI.
    pub text: Option<(String, Option<String>)>,
    /// Its value.
    pub value: Option<f64>,
    /// Its 95 % CI.
    pub range: Option<(f64, f64)>,
}

/// A table with a plot of `intervals`; `unit` is that of its axis.
pub fn intervals(caption: &str, what: &str, unit: &'static str, intervals: &[Interval]) -> Markup {
    let ends = intervals.iter().flat_map(|of| {
        let (low, high) = of.range.unzip();
        [of.value, low, high].into_iter().flatten()
    });
    let axis = Axis::about_zero(ends, (8.0, ROW.0 - 8.0), unit);
    let row = |of: &Interval| -> Vec<Cell> {
        let text = html! {
            @if let Some((by, range)) = &of.text {
                (by)
                @if let Some(range) = range {
                    br; span.soft { "95 % CI " span.nowrap { (range) } }
                }
            } @else {
                (NONE)
            }
        };
        vec![of.label.clone().into(), text.into(), drawn(of, &axis).into()]
    };
    let head = [(what, Column::Text), ("Difference", Column::Text), ("", Column::Drawn)];
    let below = beside_words(AXIS, &axis.below(2.0, 10.5));
    let rows = intervals.iter().map(row).collect();
    table_with_axis(caption, &head, rows, Some(&[html! {}, html! {}, below]))
}

fn drawn(of: &Interval, axis: &Axis) -> Markup {
    let (zero, middle) = (px(axis.x(0.0)), ROW.1 / 2.0);
    let drawn = html! {
        path.thin d={ "M" (px(axis.x(f64::MIN))) " " (px(middle)) "H" (px(axis.x(f64::MAX))) } {}
        path.line stroke-dasharray="3 2" d={ "M" (zero) " 0V" (px(ROW.1)) } {}
        @if let Some(value) = of.value {
            (whisker(axis.x(value), of.range.map(|(l, h)| (axis.x(l), axis.x(h))), middle))
        }
    };
    beside_words(ROW, &drawn)
}
