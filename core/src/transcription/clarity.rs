//! How clear the pitches have been of late: what is unclear for long is more than one voice.

/// Hops that count: some 4 s.
const REMEMBERED: f32 = 1.0 - 1.0 / 750.0;

/// A level so far under the player's usual one, in dB, is that of a tail or of the room.
const UNDER: f32 = 12.0;

/// As many hops as are needed to say anything: half a second.
const LEAST: f32 = 94.0;

/// See the module.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Clarity {
    clarity: f32,
    hops: f32,
}

impl Clarity {
    /// Takes in a hop: its level over the usual one in dB, and how clear its pitch is, from 0 to 1.
    pub(super) fn hear(&mut self, over: f32, clarity: f32) {
        if over > -UNDER {
            self.clarity = self.clarity * REMEMBERED + clarity;
            self.hops = self.hops * REMEMBERED + 1.0;
        }
    }

    /// The mean clarity, once enough was loud enough.
    pub(super) fn mean(self) -> Option<f32> {
        (self.hops >= LEAST).then(|| self.clarity / self.hops)
    }
}
