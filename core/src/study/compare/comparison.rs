//! Takes compared: figures, differences, and which of them are claimed.

use crate::analysis::take_analysis::TakeAnalysis;
use crate::phrase::Phrase;
use crate::phrase::figures::{Figures, figures};
use crate::stats::evidence::{
    Claim, LengthDifference, ShareDifference, claims, length_difference, share_difference,
};
use crate::stats::{Share, real};
use crate::take::grid_summary::GridSummary;
use crate::take::performance::Performance;
use crate::take::settings::AlertSettings;
use serde::Serialize;

/// Nominal chance of a false claim in one comparison. Origin: fitted to keep the actual one under 5 %
/// for takes of 8 to 24 phrases, since Newcombe's interval is a little narrow for few phrases.
const LEVEL: f64 = 0.045;

/// Fewest takes in a comparison.
pub const MIN_TAKES: usize = 2;

/// Most takes in a comparison: more do not fit side by side, and with 36 pairs and more no
/// difference could be claimed.
pub const MAX_TAKES: usize = 8;

/// A take to compare.
#[derive(Debug, Clone, Copy)]
pub struct NamedTake<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its phrases.
    pub phrases: &'a [Phrase],
    /// The take they belong to, if known.
    pub take: Option<&'a Performance>,
}

impl<'a> NamedTake<'a> {
    /// An analysed take.
    #[must_use]
    pub fn of(name: &'a str, analysis: &'a TakeAnalysis) -> Self {
        Self { name, phrases: analysis.phrases(), take: Some(analysis.take()) }
    }
}

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ComparedMeasure {
    /// The share of phrases that start off the beat.
    OffBeatEntries,
    /// The share that start on beat one.
    BeatOneEntries,
    /// The share that end off the beat.
    OffBeatExits,
    /// The share that cross a bar line.
    OverTheBar,
    /// The mean length in bars.
    Bars,
}

impl ComparedMeasure {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::OffBeatEntries,
        Self::BeatOneEntries,
        Self::OffBeatExits,
        Self::OverTheBar,
        Self::Bars,
    ];

    /// Its part of the chance of a false claim; 0 if it is never claimed.
    fn weight(self) -> f64 {
        match self {
            Self::OffBeatEntries => 4.0,
            Self::Bars => 1.0,
            Self::BeatOneEntries | Self::OffBeatExits | Self::OverTheBar => 0.0,
        }
    }

    /// The share of these figures; `None` for lengths.
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
    /// Its name.
    pub name: String,
    /// Its figures.
    pub figures: Figures,
    /// The mean length of its phrases in bars; `None` without phrases.
    pub mean_bars: Option<f64>,
    /// Its own beat grid; `None` on that of its file or host.
    pub grid: Option<GridSummary>,
}

/// The first take minus the second.
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

/// A difference between two takes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TakeDifference {
    /// The measure.
    pub of: ComparedMeasure,
    /// Index of the first take.
    pub first: usize,
    /// Index of the second.
    pub second: usize,
    /// Phrases of the first.
    pub first_phrases: u32,
    /// Phrases of the second.
    pub second_phrases: u32,
    /// Its size; `None` if one take has no phrases.
    pub gap: Option<Gap>,
    /// It is claimed.
    pub holds: bool,
}

impl TakeDifference {
    /// Whether it can be claimed at all.
    pub fn is_tested(&self) -> bool {
        self.of.weight() > 0.0
    }
}

/// Takes with all their differences.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// The takes, in the order given.
    pub takes: Vec<ComparedTake>,
    /// Every measure of every pair of takes.
    pub differences: Vec<TakeDifference>,
}

/// Why takes are not compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a comparison needs {MIN_TAKES} to {MAX_TAKES} takes, not {takes}")]
pub struct WrongNumber {
    /// How many were given.
    pub takes: usize,
}

/// Compares takes.
///
/// # Errors
/// [`WrongNumber`] unless there are from [`MIN_TAKES`] to [`MAX_TAKES`].
pub fn compare(
    takes: &[NamedTake<'_>],
    settings: &AlertSettings,
) -> Result<Comparison, WrongNumber> {
    if !(MIN_TAKES..=MAX_TAKES).contains(&takes.len()) {
        return Err(WrongNumber { takes: takes.len() });
    }
    let read: Vec<AnalysedTake> =
        takes.iter().map(|take| AnalysedTake::of(take, settings)).collect();
    let mut differences = Vec::new();
    for (first, a) in read.iter().enumerate() {
        for (second, b) in read.iter().enumerate().skip(first + 1) {
            differences.extend(ComparedMeasure::ALL.map(|of| TakeDifference {
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

struct AnalysedTake {
    take: ComparedTake,
    bars: Vec<f64>,
}

impl AnalysedTake {
    fn of(take: &NamedTake<'_>, settings: &AlertSettings) -> Self {
        let bars: Vec<f64> = take.phrases.iter().map(|p| p.bars).collect();
        let mean = (!bars.is_empty()).then(|| bars.iter().sum::<f64>() / real(bars.len()));
        let figures = figures(take.phrases, settings);
        let grid = take.take.and_then(GridSummary::of);
        let name = take.name.to_owned();
        Self { take: ComparedTake { name, figures, mean_bars: mean, grid }, bars }
    }
}

fn gap(of: ComparedMeasure, a: &AnalysedTake, b: &AnalysedTake) -> Option<Gap> {
    match (of.share(&a.take.figures), of.share(&b.take.figures)) {
        (Some(a), Some(b)) => share_difference(a, b).map(Gap::Share),
        _ => length_difference(&a.bars, &b.bars).map(Gap::Length),
    }
}
