//! What the transport did, for whoever wants to tell it.

use crate::metre::Metre;
use crate::time::{Beat, Second};
use crate::transport::NoGrid;
use std::collections::VecDeque;

/// One thing the transport did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SongEvent {
    /// It began to roll.
    Started {
        /// When.
        at: Second,
        /// Where.
        beat: Beat,
    },
    /// It stopped.
    Stopped {
        /// When.
        at: Second,
    },
    /// It moved while rolling.
    Jumped {
        /// When.
        at: Second,
        /// Where it would have been.
        from: Beat,
        /// Where it went.
        to: Beat,
    },
    /// A loop went round.
    WentRound {
        /// When its end was reached.
        at: Second,
        /// Where it begins.
        to: Beat,
    },
    /// Another metre began.
    MetreChanged {
        /// On this bar line.
        beat: Beat,
        /// The new one.
        metre: Metre,
    },
    /// The beat grid went missing.
    GridLost {
        /// When.
        at: Second,
        /// Why.
        why: NoGrid,
    },
}

/// The newest events, and how many there were in all.
#[derive(Debug, Clone, Default)]
pub struct SongEvents {
    newest: VecDeque<SongEvent>,
    total: u64,
}

impl SongEvents {
    /// How many are kept.
    pub const KEPT: usize = 256;

    pub(crate) fn push(&mut self, event: SongEvent) {
        if self.newest.len() == Self::KEPT {
            self.newest.pop_front();
        }
        self.newest.push_back(event);
        self.total += 1;
    }

    /// The newest, in order.
    pub fn newest(&self) -> impl ExactSizeIterator<Item = &SongEvent> {
        self.newest.iter()
    }

    /// All that ever happened.
    #[must_use]
    pub fn total(&self) -> u64 {
        self.total
    }
}
