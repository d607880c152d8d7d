//! The overview of a take: its newest phrases, with the figures of all.

use crate::melody::RoleCounts;
use crate::microtiming::TimeFeel;
use crate::phrase::Phrase;
use crate::phrase::figures::Figures;
use crate::stats::Share;

/// Most phrases of an overview.
pub const SHOWN_PHRASES: usize = 512;

/// The overview of a take.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TakeOverview {
    /// The newest phrases, at most [`SHOWN_PHRASES`], in order.
    pub phrases: Vec<Phrase>,
    /// How many older phrases are left out.
    pub before: usize,
    /// The figures of all phrases.
    pub figures: Figures,
    /// The time feel of all phrases.
    pub feel: TimeFeel,
    /// Note count per role.
    pub roles: RoleCounts,
}

/// A few figures, for lists.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TakeFigures {
    /// Phrase starts.
    pub phrases: u32,
    /// Starts off the beat.
    pub off_beat: Share,
    /// Starts on beat one.
    pub beat_one: Share,
    /// Median length in bars of the finished phrases.
    pub median_bars: Option<f64>,
}

impl TakeOverview {
    /// The newest of `count` phrases, with the figures, time feel and roles of all.
    pub(super) fn of(
        phrases: impl Iterator<Item = Phrase>,
        count: usize,
        (figures, feel, roles): (Figures, TimeFeel, RoleCounts),
    ) -> Self {
        let before = count.saturating_sub(SHOWN_PHRASES);
        Self { phrases: phrases.skip(before).collect(), before, figures, feel, roles }
    }
}

impl TakeFigures {
    /// From all figures of a take.
    pub fn of(figures: &Figures) -> Self {
        Self {
            phrases: figures.phrases,
            off_beat: figures.off_beat_entries,
            beat_one: figures.beat_one_entries,
            median_bars: figures.lengths.map(|lengths| lengths.bars.median),
        }
    }
}
