//! Differences in words.

use super::comparison::{ComparedMeasure, Comparison, Gap, TakeDifference};

/// A sentence about a difference: a claim where it holds, and else that there is no clear one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DifferenceSentence {
    /// The sentence.
    pub text: String,
    /// The evidence holds.
    pub holds: bool,
}

impl Comparison {
    /// The differences that are tested, in words and in order.
    pub fn sentences(&self) -> impl Iterator<Item = DifferenceSentence> {
        let tested = self.differences.iter().filter(|difference| difference.is_tested());
        tested.map(|difference| {
            let holds = difference.holds;
            let text = match difference.gap.filter(|_| holds) {
                Some(gap) => self.claim(difference, gap),
                None => self.no_claim(difference),
            };
            DifferenceSentence { text, holds }
        })
    }

    fn name(&self, take: usize) -> &str {
        self.takes.get(take).map_or("", |take| take.name.as_str())
    }

    /// Names the take with more of it first.
    fn claim(&self, difference: &TakeDifference, gap: Gap) -> String {
        let (first, second) = (self.name(difference.first), self.name(difference.second));
        let by = match gap {
            Gap::Share(share) => share.difference,
            Gap::Length(length) => length.difference,
        };
        let is_turned = by < 0.0;
        let (more, less) = if is_turned { (second, first) } else { (first, second) };
        let turned = |(low, high): (f64, f64)| if is_turned { (-high, -low) } else { (low, high) };
        match gap {
            Gap::Share(share) => {
                let (low, high) = turned((share.low, share.high));
                format!(
                    "{more} enters off the beat more often than {less}: {} points, {:.0} to {:.0}",
                    points(by.abs()),
                    low * 100.0,
                    high * 100.0
                )
            }
            Gap::Length(length) => {
                let interval = length.interval.map(turned);
                let interval = interval
                    .map_or(String::new(), |(low, high)| format!(", {low:.1} to {high:.1}"));
                let by = by.abs();
                format!(
                    "{more} has longer phrases than {less}: +{by:.1} bars in the mean{interval}"
                )
            }
        }
    }

    fn no_claim(&self, difference: &TakeDifference) -> String {
        let what = match difference.of {
            ComparedMeasure::Bars => "the length of phrases",
            _ => "where phrases enter",
        };
        format!(
            "{} and {}: no clear difference in {what}, {} and {} phrases",
            self.name(difference.first),
            self.name(difference.second),
            difference.first_phrases,
            difference.second_phrases
        )
    }
}

/// A difference of shares in points, with its sign: "+31", "−4".
pub fn points(difference: f64) -> String {
    signed(difference * 100.0, 0)
}

/// A difference in bars, with its sign: "+0.8".
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
