//! A row of the list of takes.

use crate::analysis::overview::TakeFigures;
use crate::take::{Take, TakeId};
use crate::time::SecondSpan;

/// A take in a list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TakeRow {
    /// Its id.
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
    /// Its figures; `None` until it is analysed.
    pub figures: Option<TakeFigures>,
}

impl TakeRow {
    /// A row for `take`, number `number` from 1.
    #[must_use]
    pub fn of(take: &Take, number: u32, figures: Option<TakeFigures>) -> Self {
        let notes = take.performance.soloist.notes();
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
