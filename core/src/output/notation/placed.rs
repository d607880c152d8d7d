//! A written onset.

use crate::time::Beat;

/// The written position of an onset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placed {
    /// Its index in the melody line.
    pub onset: usize,
    /// Its bar, and ticks from the bar line.
    pub bar: i64,
    pub at: u32,
    /// Where its bar starts.
    pub bar_start: Beat,
    /// Where it was played, and where it ended, in the song.
    pub played: Beat,
    pub ended: Option<Beat>,
    /// It is too close to the next onset, and is written as a grace note.
    pub crowded: bool,
}
