//! What the transport did, for display.

use crate::take::TakeId;
use crate::time::metre::Metre;
use crate::time::transport::NoGrid;
use crate::time::{Beat, Second};
use std::collections::VecDeque;

/// One thing the transport did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SongEvent {
    /// It started.
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
    /// It jumped while playing.
    Jumped {
        /// When.
        at: Second,
        /// Where it would have been.
        from: Beat,
        /// Where it went.
        to: Beat,
    },
    /// It looped.
    Looped {
        /// When the loop's end was reached.
        at: Second,
        /// Where the loop starts.
        to: Beat,
    },
    /// Another metre began.
    MetreChanged {
        /// On this bar line.
        beat: Beat,
        /// The new one.
        metre: Metre,
    },
    /// The pass that ended was the playback of a known take, and was not kept.
    PlayedBack {
        /// The id of the take.
        take: TakeId,
    },
    /// The beat grid was lost.
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
