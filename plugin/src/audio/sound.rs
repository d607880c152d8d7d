//! Sound on its way from the audio thread to the worker, and the notes that come back.

use overbar_core::time::{Second, SecondSpan};

/// Samples a channel in a block: those of the smallest blocks that hosts use, so that little is moved for them.
pub const FRAMES: usize = 64;

/// Blocks that the queue holds: over two seconds at 48 kHz, over half a second at 192 kHz, in 1 MB.
pub const SOUND_CAPACITY: usize = 2_048;

/// Heard notes that wait to be sent: more than anyone plays while no block is processed.
pub const HEARD_CAPACITY: usize = 256;

/// A short stretch of sound.
#[derive(Debug, Clone, Copy)]
pub struct SoundBlock {
    /// When its first sample was.
    pub at: Second,
    /// Samples a second.
    pub rate: u32,
    /// How many samples there are of each channel.
    pub frames: usize,
    /// Whether the second channel is one; else it is empty.
    pub stereo: bool,
    /// The samples of both channels.
    pub samples: [[f32; FRAMES]; 2],
}

const _: () = assert!(size_of::<SoundBlock>() * SOUND_CAPACITY <= 1_200_000);

impl SoundBlock {
    /// How long it is.
    pub fn length(&self) -> SecondSpan {
        SecondSpan(self.frames as f64 / f64::from(self.rate.max(1)))
    }

    /// The samples of a channel.
    pub fn channel(&self, channel: usize) -> &[f32] {
        let samples = self.samples.get(channel).and_then(|samples| samples.get(..self.frames));
        samples.unwrap_or_default()
    }
}

/// A heard note that begins or ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeardMidi {
    /// When it was played.
    pub played: Second,
    /// Its MIDI key.
    pub key: u8,
    /// From 0 to 1; `None` at its end.
    pub velocity: Option<f32>,
}
