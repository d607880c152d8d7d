//! What the transport did, for whoever wants to tell it.

use crate::take::TakeId;
use crate::time::metre::Metre;
use crate::time::transport::NoGrid;
use crate::time::{Beat, Second};
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
    /// The pass that ended was a take that is known, played back by the host; it is left out.
    PlayedBack {
        /// What the take is known by.
        take: TakeId,
    },
    /// The beat grid went missing.
    GridLost {
        /// When.
        at: Second,
        /// Why.
        why: NoGrid,
    },
}

/// The newest events.
#[derive(Debug, Clone, Default)]
pub struct SongEvents {
    newest: VecDeque<SongEvent>,
}

impl SongEvents {
    /// How many are kept.
    pub const KEPT: usize = 256;

    pub(crate) fn push(&mut self, event: SongEvent) {
        if self.newest.len() == Self::KEPT {
            self.newest.pop_front();
        }
        self.newest.push_back(event);
    }

    /// The newest, in order.
    pub fn newest(&self) -> impl ExactSizeIterator<Item = &SongEvent> {
        self.newest.iter()
    }
}
