//! Where an onset starts and ends on paper.

use crate::time::Beat;

/// An onset on paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placed {
    /// Which onset of the melody line it is.
    pub onset: usize,
    /// Its bar, and ticks from the bar line.
    pub bar: i64,
    pub at: u32,
    /// Where its bar starts.
    pub bar_start: Beat,
    /// Where it was played, and where it ended, in the song.
    pub played: Beat,
    pub ended: Option<Beat>,
    /// There is no room for it before the next onset: it is written as a grace note.
    pub crowded: bool,
}
