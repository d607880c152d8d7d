//! The recent clarity of pitches: if it stays low, there is more than one voice.

/// The decay per hop: to a third in about 4 s.
const DECAY: f32 = 1.0 - 1.0 / 750.0;

/// Hops farther than this below the player's usual level, in dB, are ignored: tails, or the room.
const UNDER: f32 = 12.0;

/// The least hops for a mean: half a second.
const MIN_HOPS: f32 = 94.0;

/// The recent clarity of pitches.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Clarity {
    clarity: f32,
    hops: f32,
}

impl Clarity {
    /// Adds a hop: its level above the usual one in dB, and the clarity of its pitch, from 0 to 1.
    pub(super) fn hear(&mut self, over: f32, clarity: f32) {
        if over > -UNDER {
            self.clarity = self.clarity * DECAY + clarity;
            self.hops = self.hops * DECAY + 1.0;
        }
    }

    /// The mean clarity; `None` until enough hops were loud enough.
    pub(super) fn mean(self) -> Option<f32> {
        (self.hops >= MIN_HOPS).then(|| self.clarity / self.hops)
    }
}
