//! Pictures, accessible to screen readers, and axes with ticks and units.

use super::page::px;
use maud::{Markup, html};

/// Width of a whole picture, in its own units.
pub const WIDTH: f64 = 400.0;

/// A picture `WIDTH` by `height` with a title and a description for screen readers. `id` is unique on the
/// page.
pub fn picture(id: &str, height: f64, title: &str, description: &str, drawn: &Markup) -> Markup {
    framed(id, (WIDTH, height), title, description, drawn)
}

/// A picture of another size.
pub fn framed(
    id: &str,
    (width, height): (f64, f64),
    title: &str,
    description: &str,
    drawn: &Markup,
) -> Markup {
    let (title_id, description_id) = (format!("{id}t"), format!("{id}d"));
    html! {
        svg viewBox={ "0 0 " (px(width)) " " (px(height)) } role="img"
            aria-labelledby={ (title_id) " " (description_id) } {
            title id=(title_id) { (title) }
            desc id=(description_id) { (description) }
            (drawn)
        }
    }
}

/// A picture of content that neighbouring cells have in words.
pub fn beside_words((width, height): (f64, f64), drawn: &Markup) -> Markup {
    html! {
        svg viewBox={ "0 0 " (px(width)) " " (px(height)) } aria-hidden="true" { (drawn) }
    }
}

/// A straight scale from left to right, with ticks.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    low: f64,
    high: f64,
    left: f64,
    right: f64,
    /// The difference between two ticks.
    step: f64,
    decimals: usize,
    /// Values have signs, and only the ends and 0 are labelled.
    signed: bool,
    /// Follows the last tick's number.
    unit: &'static str,
}

/// Most steps between ticks, so that their numbers don't touch.
const MAX_STEPS: f64 = 4.0;

impl Axis {
    /// Shares from 0 to 100 %.
    pub fn percent(left: f64, right: f64) -> Self {
        let unit = "\u{a0}%";
        Self { low: 0.0, high: 100.0, left, right, step: 50.0, decimals: 0, signed: false, unit }
    }

    /// From 0 to a round number not below `max`.
    pub fn up_to(max: f64, (left, right): (f64, f64), unit: &'static str) -> Self {
        let step = step(max.max(1e-9) / MAX_STEPS);
        let high = (max / step).ceil().max(1.0) * step;
        let decimals = usize::from(step < 1.0);
        Self { low: 0.0, high, left, right, step, decimals, signed: false, unit }
    }

    /// Symmetrical about 0, with all of `values`.
    pub fn about_zero(
        values: impl Iterator<Item = f64>,
        (left, right): (f64, f64),
        unit: &'static str,
    ) -> Self {
        let reach = values.map(f64::abs).fold(0.0, f64::max).max(1e-9);
        let step = step(reach / 2.0);
        let high = (reach / step).ceil() * step;
        let decimals = usize::from(step < 1.0);
        Self { low: -high, high, left, right, step, decimals, signed: true, unit }
    }

    /// The position of a value; one off the scale is at its end.
    pub fn x(&self, value: f64) -> f64 {
        let part = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.left + part * (self.right - self.left)
    }

    /// Values of the ticks.
    pub fn ticks(&self) -> impl Iterator<Item = f64> {
        let (low, step) = (self.low, self.step);
        let steps = ((self.high - self.low) / self.step).round();
        (0_u32..=64).map(f64::from).take_while(move |n| *n <= steps).map(move |n| low + n * step)
    }

    /// A tick in words; the last has the unit.
    fn named(&self, value: f64) -> String {
        let is_last = value + self.step / 2.0 > self.high;
        let is_between = value.abs() > self.step / 2.0 && value > self.low && !is_last;
        if self.signed && is_between {
            return String::new();
        }
        let unit = if is_last { self.unit } else { "" };
        let size = format!("{:.*}", self.decimals, value.abs());
        let sign = match value {
            v if v < -self.step / 2.0 => "\u{2212}",
            v if self.signed && v > self.step / 2.0 => "+",
            _ => "",
        };
        format!("{sign}{size}{unit}")
    }

    /// The line with its ticks at `y` and their numbers below it.
    pub fn below(&self, y: f64, size: f64) -> Markup {
        let anchor = |value: f64| match value {
            v if v <= self.low => "start",
            v if v + self.step / 2.0 > self.high => "end",
            _ => "middle",
        };
        html! {
            path.line d={ "M" (px(self.left)) " " (px(y)) "H" (px(self.right)) } {}
            @for value in self.ticks() {
                path.line d={ "M" (px(self.x(value))) " " (px(y)) "v4" } {}
                text.dim x=(px(self.x(value))) y=(px(y + 5.0 + size)) font-size=(px(size))
                    text-anchor=(anchor(value)) { (self.named(value)) }
            }
        }
    }
}

/// 1, 2 or 5 times a power of ten, not below `least`.
fn step(least: f64) -> f64 {
    let ten = 10_f64.powf(least.log10().floor());
    let part = least / ten;
    let round = [1.0, 2.0, 5.0].into_iter().find(|round| part <= round + 1e-9);
    ten * round.unwrap_or(10.0)
}

/// An interval as a line with end marks, and its value as a dot; without an interval only the dot.
pub fn whisker(x: f64, interval: Option<(f64, f64)>, y: f64) -> Markup {
    html! {
        @if let Some((low, high)) = interval {
            @let (low, high, top, bottom) = (px(low), px(high), px(y - 4.0), px(y + 4.0));
            path.line stroke-width="2"
                d={ "M" (low) " " (px(y)) "H" (high) "M" (low) " " (top) "V" (bottom)
                    "M" (high) " " (top) "V" (bottom) } {}
        }
        circle.mark cx=(px(x)) cy=(px(y)) r="4.5" {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ticks(axis: &Axis) -> Vec<String> {
        axis.ticks().map(|value| axis.named(value)).collect()
    }

    #[test]
    fn ticks_are_round_and_the_last_has_the_unit() {
        assert_eq!(ticks(&Axis::percent(0.0, 1.0)), ["0", "50", "100\u{a0}%"]);
        assert_eq!(ticks(&Axis::up_to(4.2, (0.0, 1.0), " bars")), ["0", "2", "4", "6 bars"]);
        assert_eq!(ticks(&Axis::up_to(0.7, (0.0, 1.0), "")), ["0.0", "0.2", "0.4", "0.6", "0.8"]);
        let points = Axis::about_zero([-0.3, 89.0].into_iter(), (0.0, 1.0), " points");
        assert_eq!(ticks(&points), ["\u{2212}100", "", "0", "", "+100 points"]);
    }

    #[test]
    fn values_are_on_the_scale_or_at_its_end() {
        let axis = Axis::percent(10.0, 30.0);
        assert_eq!(
            [-5.0, 0.0, 50.0, 100.0, 120.0].map(|v| axis.x(v)),
            [10.0, 10.0, 20.0, 30.0, 30.0]
        );
    }
}
