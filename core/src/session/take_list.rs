//! What a list of takes says of each.

use crate::figures::Figures;
use crate::stats::Share;
use crate::take::{Take, TakeId};
use crate::time::SecondSpan;

/// A take in a list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TakeRow {
    /// What it is known by.
    pub id: TakeId,
    /// Its number, from 1.
    pub number: u32,
    /// It is being played.
    pub under_way: bool,
    /// The soloist's notes.
    pub notes: usize,
    /// From the first attack to the last.
    pub seconds: SecondSpan,
    /// Boundaries set by hand.
    pub by_hand: usize,
    /// Its figures; `None` until it has been read.
    pub figures: Option<TakeFigures>,
}

/// The few figures a list has room for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TakeFigures {
    /// Phrases begun.
    pub phrases: u32,
    /// Entries off the beat.
    pub off_beat: Share,
    /// Entries on beat one.
    pub beat_one: Share,
    /// Median length in bars of the phrases that are over.
    pub median_bars: Option<f64>,
}

impl TakeFigures {
    /// Out of all figures of a take.
    #[must_use]
    pub fn of(figures: &Figures) -> Self {
        Self {
            phrases: figures.phrases,
            off_beat: figures.off_beat_entries,
            beat_one: figures.beat_one_entries,
            median_bars: figures.lengths.map(|lengths| lengths.bars.median),
        }
    }
}

impl TakeRow {
    /// A row for `take`, number `number` from 1.
    #[must_use]
    pub fn of(take: &Take, number: u32, figures: Option<TakeFigures>) -> Self {
        let notes = take.performance.heard.notes();
        let span = notes.first().zip(notes.last()).map(|(a, b)| b.on.second - a.on.second);
        Self {
            id: take.id,
            number,
            under_way: false,
            notes: notes.len(),
            seconds: span.unwrap_or_default(),
            by_hand: take.performance.corrections.all().len(),
            figures,
        }
    }
}
