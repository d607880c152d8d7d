//! Differences in words.

use super::{Comparison, Difference, Gap, Measure};
use core::fmt;

/// A difference with the names of its takes, to be written out: a claim where it holds, and else
/// that there is no clear one.
#[derive(Debug, Clone, Copy)]
pub struct Named<'a> {
    comparison: &'a Comparison,
    difference: &'a Difference,
}

impl Comparison {
    /// The differences that are claimed or refused in words, in order.
    pub fn sentences(&self) -> impl Iterator<Item = Named<'_>> {
        self.differences
            .iter()
            .filter(|difference| difference.is_tested())
            .map(|difference| Named { comparison: self, difference })
    }
}

impl Named<'_> {
    /// The difference that is told.
    #[must_use]
    pub fn difference(&self) -> &Difference {
        self.difference
    }

    fn name(&self, take: usize) -> &str {
        self.comparison.takes.get(take).map_or("", |take| take.name.as_str())
    }

    /// The take with more of it comes first.
    fn turned(&self) -> (&str, &str, Option<Gap>) {
        let Difference { first, second, gap, .. } = *self.difference;
        let (first, second) = (self.name(first), self.name(second));
        match gap {
            Some(Gap::Share(mut share)) if share.difference < 0.0 => {
                share.difference = -share.difference;
                (share.low, share.high) = (-share.high, -share.low);
                (second, first, Some(Gap::Share(share)))
            }
            Some(Gap::Length(mut length)) if length.difference < 0.0 => {
                length.difference = -length.difference;
                length.interval = length.interval.map(|(low, high)| (-high, -low));
                (second, first, Some(Gap::Length(length)))
            }
            gap => (first, second, gap),
        }
    }
}

impl fmt::Display for Named<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (more, less, gap) = self.turned();
        match gap.filter(|_| self.difference.holds) {
            Some(Gap::Share(share)) => write!(
                f,
                "{more} enters off the beat more often than {less}: {} points, {:.0} to {:.0}",
                points(share.difference),
                share.low * 100.0,
                share.high * 100.0
            ),
            Some(Gap::Length(length)) => {
                let difference = length.difference;
                write!(
                    f,
                    "{more} has longer phrases than {less}: +{difference:.1} bars in the mean"
                )?;
                match length.interval {
                    Some((low, high)) => write!(f, ", {low:.1} to {high:.1}"),
                    None => Ok(()),
                }
            }
            None => {
                let what = match self.difference.of {
                    Measure::Bars => "the length of phrases",
                    _ => "where phrases enter",
                };
                let Difference { first, second, first_phrases, second_phrases, .. } =
                    *self.difference;
                let (first, second) = (self.name(first), self.name(second));
                write!(
                    f,
                    "{first} and {second}: no clear difference in {what}, {first_phrases} and \
                     {second_phrases} phrases"
                )
            }
        }
    }
}

/// A difference of shares in points, with its sign: "+31", "−4".
#[must_use]
pub fn points(difference: f64) -> String {
    signed(difference * 100.0, 0)
}

/// A difference in bars, with its sign: "+0.8".
#[must_use]
pub fn bars_text(difference: f64) -> String {
    signed(difference, 1)
}

fn signed(value: f64, decimals: usize) -> String {
    let size = format!("{:.decimals$}", value.abs());
    let is_nought = size.chars().all(|c| matches!(c, '0' | '.'));
    match value {
        _ if is_nought => size,
        v if v < 0.0 => format!("\u{2212}{size}"),
        _ => format!("+{size}"),
    }
}
