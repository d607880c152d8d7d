//! Differences in words.

use super::comparison::{ComparedMeasure, Comparison, Gap, TakeDifference};

/// A sentence about a difference: a claim if it holds, or else that there is no clear difference.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DifferenceSentence {
    /// The sentence.
    pub text: String,
    /// It is a claim.
    pub holds: bool,
}

impl Comparison {
    /// The differences that are tested, in words and in order.
    pub fn sentences(&self) -> impl Iterator<Item = DifferenceSentence> {
        let tested = self.differences.iter().filter(|difference| difference.is_tested());
        tested.map(|difference| {
            let holds = difference.holds;
            let text = match difference.gap.filter(|_| holds) {
                Some(gap) => claim(self.name(difference.first), self.name(difference.second), gap),
                None => self.no_claim(difference),
            };
            DifferenceSentence { text, holds }
        })
    }

    fn name(&self, take: usize) -> &str {
        self.takes.get(take).map_or("", |take| take.name.as_str())
    }

    fn no_claim(&self, difference: &TakeDifference) -> String {
        let what = match difference.of {
            ComparedMeasure::Bars => "phrase length",
            _ => "off-beat starts",
        };
        format!(
            "{} and {}: no clear difference in {what} ({} and {} phrases)",
            self.name(difference.first),
            self.name(difference.second),
            difference.first_phrases,
            difference.second_phrases
        )
    }
}

/// A clear difference between two takes; the one with more is named first.
pub fn claim(first: &str, second: &str, gap: Gap) -> String {
    let (by, range) = match gap {
        Gap::Share(share) => (share.difference, Some((share.low, share.high))),
        Gap::Length(length) => (length.difference, length.interval),
    };
    let is_turned = by < 0.0;
    let (more, less) = if is_turned { (second, first) } else { (first, second) };
    let range = range.map(|(low, high)| if is_turned { (-high, -low) } else { (low, high) });
    let interval = |scale: f64, decimals: usize| {
        range.map_or(String::new(), |(low, high)| {
            format!(" (95 % CI {:.decimals$} to {:.decimals$})", low * scale, high * scale)
        })
    };
    let by = by.abs();
    match gap {
        Gap::Share(_) => format!(
            "{more} starts more phrases off the beat than {less}: {} points{}",
            points(by),
            interval(100.0, 0)
        ),
        Gap::Length(_) => format!(
            "{more} has longer phrases than {less}: +{by:.1} bars on average{}",
            interval(1.0, 1)
        ),
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
    let is_zero = size.chars().all(|c| matches!(c, '0' | '.'));
    match value {
        _ if is_zero => size,
        v if v < 0.0 => format!("\u{2212}{size}"),
        _ => format!("+{size}"),
    }
}
