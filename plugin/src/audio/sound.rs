//! Sound on its way from the audio thread to the worker, and the transcribed notes that come back.

use overbar_core::time::{Second, SecondSpan};

/// Samples per channel in a block: the smallest block size of hosts, so that small blocks copy little.
pub const FRAMES: usize = 64;

/// Capacity of the queue in blocks: over two seconds at 48 kHz, over half a second at 192 kHz, in 1 MB.
pub const SOUND_CAPACITY: usize = 2_048;

/// Transcribed notes waiting to be sent: more than anyone plays while no block is processed.
pub const HEARD_CAPACITY: usize = 256;

/// A short stretch of sound.
#[derive(Debug, Clone, Copy)]
pub struct SoundBlock {
    /// The time of its first sample.
    pub at: Second,
    /// Samples per second.
    pub rate: u32,
    /// The number of samples in each channel.
    pub frames: usize,
    /// Whether the second channel is used; if not, it is empty.
    pub stereo: bool,
    /// The samples of both channels.
    pub samples: [[f32; FRAMES]; 2],
}

const _: () = assert!(size_of::<SoundBlock>() * SOUND_CAPACITY <= 1_200_000);

impl SoundBlock {
    /// Its duration.
    pub fn length(&self) -> SecondSpan {
        SecondSpan(self.frames as f64 / f64::from(self.rate.max(1)))
    }

    /// The samples of a channel.
    pub fn channel(&self, channel: usize) -> &[f32] {
        let samples = self.samples.get(channel).and_then(|samples| samples.get(..self.frames));
        samples.unwrap_or_default()
    }
}

/// The start or end of a transcribed note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeardMidi {
    /// When it was played.
    pub played: Second,
    /// Its MIDI key.
    pub key: u8,
    /// From 0 to 1; `None` for the end of a note.
    pub velocity: Option<f32>,
}
