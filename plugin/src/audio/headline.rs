//! The few values that cross threads as plain atomics: the position in the song, and lost events.

use atomic_float::AtomicF64;
use overbar_core::time::Beat;
use std::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, Ordering::Relaxed};

/// Written by the audio thread, read by any thread. Two values read together may be from different moments.
#[derive(Debug, Default)]
pub struct Headline {
    rolling: AtomicBool,
    beat: AtomicF64,
    tempo: AtomicF64,
    dropped: AtomicU64,
    not_passed_on: AtomicU64,
    /// In milliseconds, rounded up in each block.
    lost_sound: AtomicU64,
    /// How often the panel's tap button was pressed.
    tap_presses: AtomicU32,
    /// See [`Headline::learn`].
    learning: AtomicU32,
}

/// No note is being learnt.
const IDLE: u32 = 0;
/// The next note will be learnt.
const LEARNING: u32 = 1;
/// A note was learnt: its key is in the low byte, its channel in the next one.
const LEARNT: u32 = 1 << 16;

impl Headline {
    /// Sets the position in the song.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn set_position(&self, rolling: bool, beat: f64) {
        self.rolling.store(rolling, Relaxed);
        self.beat.store(beat, Relaxed);
    }

    /// Sets the tempo in quarter notes a minute; NaN if the host reports none.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn set_tempo(&self, tempo: f64) {
        self.tempo.store(tempo, Relaxed);
    }

    /// The tempo in quarter notes a minute, if the host reports one.
    pub fn tempo(&self) -> Option<f64> {
        Some(self.tempo.load(Relaxed)).filter(|tempo| tempo.is_finite() && *tempo > 0.0)
    }

    /// The position in the song, while it plays on a beat grid.
    pub fn playhead(&self) -> Option<Beat> {
        let beat = self.beat.load(Relaxed);
        (self.rolling.load(Relaxed) && beat.is_finite()).then_some(Beat(beat))
    }

    /// Whether the song is playing.
    pub fn is_rolling(&self) -> bool {
        self.rolling.load(Relaxed)
    }

    /// Counts an event that was dropped because the queue was full.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn count_dropped(&self) {
        self.dropped.fetch_add(1, Relaxed);
    }

    /// Events dropped because the queue was full.
    pub fn dropped(&self) -> u64 {
        self.dropped.load(Relaxed)
    }

    /// Counts sound dropped because the queue was full, in milliseconds.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn count_lost_sound(&self, milliseconds: u64) {
        self.lost_sound.fetch_add(milliseconds, Relaxed);
    }

    /// Sound dropped because the queue was full, in milliseconds.
    pub fn lost_sound(&self) -> u64 {
        self.lost_sound.load(Relaxed)
    }

    /// Counts an event that the host did not accept as output.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn count_not_passed_on(&self) {
        self.not_passed_on.fetch_add(1, Relaxed);
    }

    /// Events that the host did not accept as output.
    pub fn not_passed_on(&self) -> u64 {
        self.not_passed_on.load(Relaxed)
    }

    /// Counts a press of the panel's tap button.
    pub fn press_tap(&self) {
        self.tap_presses.fetch_add(1, Relaxed);
    }

    /// How often the panel's tap button was pressed.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn tap_presses(&self) -> u32 {
        self.tap_presses.load(Relaxed)
    }

    /// Starts learning the next note, or stops.
    pub fn learn(&self, next: bool) {
        self.learning.store(if next { LEARNING } else { IDLE }, Relaxed);
    }

    /// Whether the next note will be learnt.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn is_learning(&self) -> bool {
        self.learning.load(Relaxed) == LEARNING
    }

    /// Stores the learnt note: its key and channel.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn set_learnt(&self, key: u8, channel: u8) {
        self.learning.store(LEARNT | u32::from(channel) << 8 | u32::from(key), Relaxed);
    }

    /// Takes the key and channel of the learnt note.
    pub fn take_learnt(&self) -> Option<(u8, u8)> {
        let learnt = self.learning.load(Relaxed);
        if learnt & LEARNT == 0 {
            return None;
        }
        self.learn(false);
        let [key, channel, ..] = learnt.to_le_bytes();
        Some((key, channel))
    }
}
