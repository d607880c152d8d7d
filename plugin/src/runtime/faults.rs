//! Faults that tests inject. Only with the feature `faults`, which no released plugin has.

use std::sync::atomic::{AtomicU8, AtomicU32, Ordering::Relaxed};

/// Where a fault can be injected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FaultPoint {
    /// The worker, inside its guard.
    Analysis = 1,
    /// The worker's thread, outside every guard.
    Worker = 2,
    /// The panel, while it draws.
    Panel = 4,
    /// The saved state, while it is written.
    Saving = 8,
    /// The saved state, while it is read.
    Loading = 16,
}

/// The armed faults of one instance, and its frame counter.
#[derive(Debug, Default)]
pub struct Faults {
    armed: AtomicU8,
    frames: AtomicU32,
}

impl Faults {
    /// Arms a panic for the next pass of `place`.
    pub fn arm(&self, place: FaultPoint) {
        self.armed.fetch_or(place as u8, Relaxed);
    }

    /// Whether a fault is still armed at `place`.
    pub fn is_armed(&self, place: FaultPoint) -> bool {
        self.armed.load(Relaxed) & place as u8 != 0
    }

    /// Counts a frame.
    pub(crate) fn count_frame(&self) {
        self.frames.fetch_add(1, Relaxed);
    }

    /// How many frames the panel has drawn.
    pub fn frames(&self) -> u32 {
        self.frames.load(Relaxed)
    }

    /// Passes `place`.
    ///
    /// # Panics
    /// Once, if a fault is armed there.
    pub fn pass(&self, place: FaultPoint) {
        assert!(
            self.armed.fetch_and(!(place as u8), Relaxed) & place as u8 == 0,
            "a fault injected by a test: {place:?}"
        );
    }
}
