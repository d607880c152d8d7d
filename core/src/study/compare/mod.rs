//! Takes side by side: their figures, how far they differ, and a sentence only where that is more
//! than chance.
//!
//! # What is claimed
//! Every difference is shown with its own 95 % interval. Two of them are also claimed in words
//! where the evidence holds: where phrases enter ([`Measure::OffBeatEntries`]) and how long they
//! are ([`Measure::Bars`]). The others repeat these two in part, and are only shown.
//!
//! All claims made at once, over both measures and all pairs of takes, together have a chance of
//! at most 5 % of one false claim or more (Holm's procedure, [`crate::stats::evidence::claims`]).
//! Entries have four fifths of it and lengths one fifth: a difference in shares is hard to see
//! in few phrases. So an interval may leave out 0 where nothing is claimed.
//!
//! # What that gives
//! Measured on invented takes that went through the analyser (`compare/tests.rs`):
//! - without a true difference, takes of 8 to 24 phrases, 40 to 85 % of them off the beat: some
//!   claim in 4.5 % of 2,000 pairs;
//! - with a true difference of 35 points and 16 phrases each: the claim that entries differ in
//!   52 % of 2,000 pairs.
//!
//! At worst, with 16 phrases each of which half enter off the beat, Newcombe's interval leaves
//! out 0 in 5.0 % of pairs (computed over all outcomes) where 3.6 are meant, and the chance of a
//! false claim is then 6 %.

mod norms;
mod reference;
mod sentence;

pub use norms::{AgainstNorm, NORM_SOURCE, Norm, Style, against_norm};
pub use reference::{AgainstReference, Reference, ReferenceSolo, against_reference};
pub use sentence::{Named, bars_text, points};

use crate::figures::{Figures, figures};
use crate::phrase::Phrase;
use crate::settings::AlertSettings;
use crate::stats::Share;
use crate::stats::evidence::{
    Claim, LengthDifference, ShareDifference, claims, length_difference, share_difference,
};
use core::fmt;
use serde::Serialize;

/// The chance of a false claim over all that is compared at once, as meant: a little under 5 %,
/// because Newcombe's interval of few phrases is a little narrow. Origin: fitted, so that it
/// stays under 5 % over takes of 8 to 24 phrases.
const LEVEL: f64 = 0.045;

/// At least so many takes are compared.
pub const FEWEST_TAKES: usize = 2;

/// At most so many takes are compared: more do not fit side by side, and their 36 pairs and more
/// would leave no difference between two of them to be claimed.
pub const MOST_TAKES: usize = 8;

/// A take to be compared.
#[derive(Debug, Clone, Copy)]
pub struct Take<'a> {
    /// What it is called.
    pub name: &'a str,
    /// Its phrases, all of them over.
    pub phrases: &'a [Phrase],
}

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// The share of phrases that enter off the beat.
    OffBeatEntries,
    /// The share that enter on beat one.
    BeatOneEntries,
    /// The share that leave off the beat.
    OffBeatExits,
    /// The share that sound over a bar line.
    OverTheBar,
    /// The mean length in bars.
    Bars,
}

impl Measure {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::OffBeatEntries,
        Self::BeatOneEntries,
        Self::OffBeatExits,
        Self::OverTheBar,
        Self::Bars,
    ];

    /// Its part of the chance of a false claim; 0 where nothing is claimed.
    fn weight(self) -> f64 {
        match self {
            Self::OffBeatEntries => 4.0,
            Self::Bars => 1.0,
            Self::BeatOneEntries | Self::OffBeatExits | Self::OverTheBar => 0.0,
        }
    }

    /// The share of these figures; `None` for lengths.
    #[must_use]
    pub fn share(self, figures: &Figures) -> Option<Share> {
        match self {
            Self::OffBeatEntries => Some(figures.off_beat_entries),
            Self::BeatOneEntries => Some(figures.beat_one_entries),
            Self::OffBeatExits => Some(figures.off_beat_exits),
            Self::OverTheBar => Some(figures.over_the_bar),
            Self::Bars => None,
        }
    }
}

/// A take with its figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ComparedTake {
    /// What it is called.
    pub name: String,
    /// Its figures.
    pub figures: Figures,
    /// The mean length of its phrases in bars; `None` without phrases.
    pub mean_bars: Option<f64>,
}

/// How far two takes differ: the first less the second.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Gap {
    /// In a share.
    Share(ShareDifference),
    /// In a length, in bars.
    Length(LengthDifference),
}

impl Gap {
    fn p(&self) -> f64 {
        match self {
            Self::Share(share) => share.p,
            Self::Length(length) => length.p,
        }
    }
}

/// One difference between two takes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Difference {
    /// Of what.
    pub of: Measure,
    /// Index of the first take.
    pub first: usize,
    /// Index of the second.
    pub second: usize,
    /// Phrases of the first.
    pub first_phrases: u32,
    /// Phrases of the second.
    pub second_phrases: u32,
    /// How far they differ; `None` where one has no phrases.
    pub gap: Option<Gap>,
    /// It may be claimed; see the module.
    pub holds: bool,
}

impl Difference {
    /// Whether it is one of those that are claimed where the evidence holds.
    #[must_use]
    pub fn is_tested(&self) -> bool {
        self.of.weight() > 0.0
    }
}

/// Takes side by side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// The takes, as they were given.
    pub takes: Vec<ComparedTake>,
    /// Every measure for every pair of takes.
    pub differences: Vec<Difference>,
}

/// Why takes are not compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WrongNumber {
    /// How many were given.
    pub takes: usize,
}

impl fmt::Display for WrongNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} takes: from {FEWEST_TAKES} to {MOST_TAKES} can be compared", self.takes)
    }
}

impl core::error::Error for WrongNumber {}

/// Compares takes.
///
/// # Errors
/// [`WrongNumber`] unless there are from [`FEWEST_TAKES`] to [`MOST_TAKES`].
pub fn compare(takes: &[Take<'_>], settings: &AlertSettings) -> Result<Comparison, WrongNumber> {
    if !(FEWEST_TAKES..=MOST_TAKES).contains(&takes.len()) {
        return Err(WrongNumber { takes: takes.len() });
    }
    let read: Vec<Read> = takes.iter().map(|take| Read::of(take, settings)).collect();
    let mut differences = Vec::new();
    for (first, a) in read.iter().enumerate() {
        for (second, b) in read.iter().enumerate().skip(first + 1) {
            differences.extend(Measure::ALL.map(|of| Difference {
                of,
                first,
                second,
                first_phrases: a.take.figures.phrases,
                second_phrases: b.take.figures.phrases,
                gap: gap(of, a, b),
                holds: false,
            }));
        }
    }
    let at_once: Vec<Claim> = differences
        .iter()
        .map(|d| Claim { p: d.gap.map_or(1.0, |gap| gap.p()), weight: d.of.weight() })
        .collect();
    for (difference, holds) in differences.iter_mut().zip(claims(&at_once, LEVEL)) {
        difference.holds = holds;
    }
    Ok(Comparison { takes: read.into_iter().map(|r| r.take).collect(), differences })
}

struct Read {
    take: ComparedTake,
    bars: Vec<f64>,
}

impl Read {
    fn of(take: &Take<'_>, settings: &AlertSettings) -> Self {
        let bars: Vec<f64> = take.phrases.iter().map(|p| p.bars).collect();
        #[expect(clippy::cast_precision_loss, reason = "a count of phrases")]
        let mean = (!bars.is_empty()).then(|| bars.iter().sum::<f64>() / bars.len() as f64);
        let figures = figures(take.phrases, settings);
        Self { take: ComparedTake { name: take.name.to_owned(), figures, mean_bars: mean }, bars }
    }
}

fn gap(of: Measure, a: &Read, b: &Read) -> Option<Gap> {
    match (of.share(&a.take.figures), of.share(&b.take.figures)) {
        (Some(a), Some(b)) => share_difference(a, b).map(Gap::Share),
        _ => length_difference(&a.bars, &b.bars).map(Gap::Length),
    }
}

#[cfg(test)]
mod tests;
