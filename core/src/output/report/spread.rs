//! A class on one scale: a dot for each take, and the median.

use super::aligned::count;
use super::figures::NONE;
use super::glance::{Figure, LINE, MARKS, SCALE};
use super::page::{counted, px};
use super::picture::{Axis, WIDTH, beside_words, picture, whisker};
use crate::phrase::figures::Figures;
use crate::stats::Quartiles;
use maud::{Markup, html};

/// A figure of a class.
#[derive(Clone, Copy)]
pub enum Spread {
    /// The shares of off-beat starts, in per cent.
    OffBeat,
    /// The typical lengths of phrases, in bars.
    Length,
}

impl Spread {
    /// Its values in the takes that have one.
    fn values(self, read: &[&Figures]) -> Vec<f64> {
        let value = |of: &&Figures| match self {
            Self::OffBeat => Some(of.off_beat_entries.share()? * 100.0),
            Self::Length => Some(of.lengths?.bars.median),
        };
        read.iter().filter_map(value).collect()
    }

    fn name(self) -> &'static str {
        match self {
            Self::OffBeat => "Off-beat starts",
            Self::Length => "Typical phrase length",
        }
    }

    fn axis(self, values: &[f64], (left, right): (f64, f64)) -> Axis {
        match self {
            Self::OffBeat => Axis::percent(left, right),
            Self::Length => {
                let max = values.iter().copied().fold(1.0, f64::max);
                Axis::up_to(max, (left, right), "\u{a0}bars")
            }
        }
    }

    /// The median of the class, with its middle half on a scale.
    pub fn middle(self, read: &[&Figures]) -> Figure {
        let values = self.values(read);
        let label = format!("{}, median take", self.name());
        let Some(Quartiles { lower, median, upper, .. }) =
            Quartiles::of(&values.iter().copied().collect())
        else {
            return Figure { label, value: NONE.to_owned(), details: Vec::new(), scale: html! {} };
        };
        let axis = self.axis(&values, (2.0, SCALE.0 - 2.0));
        let drawn = html! {
            (axis.below(LINE, 10.5))
            (whisker(axis.x(median), Some((axis.x(lower), axis.x(upper))), MARKS))
        };
        let (value, middle) = match self {
            Self::OffBeat => (format!("{median:.0} %"), format!("{lower:.0}\u{2013}{upper:.0} %")),
            Self::Length => {
                (format!("{median:.1} bars"), format!("{lower:.1}\u{2013}{upper:.1} bars"))
            }
        };
        let details = vec![format!("middle 50 % of takes: {middle}")];
        Figure { label, value, details, scale: beside_words(SCALE, &drawn) }
    }

    /// Each take as a dot; dots that would touch are stacked.
    pub fn dots(self, id: &str, read: &[&Figures]) -> Markup {
        let values = self.values(read);
        let axis = self.axis(&values, (EDGE, WIDTH - EDGE));
        let (left, step) = (EDGE, (WIDTH - 2.0 * EDGE) / STEPS);
        let stepped = |x: f64| left + ((x - left) / step).round() * step;
        let mut steps: Vec<f64> = values.iter().map(|value| stepped(axis.x(*value))).collect();
        steps.sort_by(f64::total_cmp);
        let above = |index: usize| {
            let own = steps.get(index);
            steps.iter().take(index).filter(|other| Some(*other) == own).count()
        };
        let highest = (0..steps.len()).map(above).max().unwrap_or(0);
        let gap = (MAX_HEIGHT / (count(highest) + 1.0)).min(step);
        let base = 4.0 + gap * (count(highest) + 1.0);
        let drawn = html! {
            (axis.below(base, 11.0))
            @for (index, x) in steps.iter().enumerate() {
                @let y = base - gap * (count(above(index)) + 0.6);
                circle.off cx=(px(*x)) cy=(px(y)) r=(px((gap * 0.44).max(1.0))) {}
            }
        };
        let title = format!("{} of {}", self.name(), counted(steps.len(), "take"));
        let description = "A dot for each take; the table has each in numbers.";
        html! {
            figure {
                p { strong { (self.name()) ", take by take" } }
                (picture(id, base + 20.0, &title, description, &drawn))
            }
        }
    }
}

/// Steps of the scale; takes at one step are stacked.
const STEPS: f64 = 32.0;

/// Space left and right of the scale.
const EDGE: f64 = 6.0;

/// The largest height of stacked dots.
const MAX_HEIGHT: f64 = 120.0;
