//! The few values that cross threads as plain atomics: the position in the song, and lost events.

use atomic_float::AtomicF64;
use overbar_core::time::Beat;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering::Relaxed};

/// Written by the audio thread, read by anyone. Two values read together may be from different
/// moments.
#[derive(Debug, Default)]
pub struct Headline {
    rolling: AtomicBool,
    beat: AtomicF64,
    tempo: AtomicF64,
    dropped: AtomicU64,
    not_passed_on: AtomicU64,
    /// In milliseconds, rounded up a block.
    lost_sound: AtomicU64,
}

impl Headline {
    /// Sets the position in the song.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn set_position(&self, rolling: bool, beat: f64) {
        self.rolling.store(rolling, Relaxed);
        self.beat.store(beat, Relaxed);
    }

    /// Sets the tempo in quarter notes a minute; not a number where the host tells none.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn set_tempo(&self, tempo: f64) {
        self.tempo.store(tempo, Relaxed);
    }

    /// The tempo in quarter notes a minute, where the host tells it.
    pub fn tempo(&self) -> Option<f64> {
        Some(self.tempo.load(Relaxed)).filter(|tempo| tempo.is_finite() && *tempo > 0.0)
    }

    /// The position in the song, while it plays on a beat grid.
    pub fn playhead(&self) -> Option<Beat> {
        let beat = self.beat.load(Relaxed);
        (self.rolling.load(Relaxed) && beat.is_finite()).then_some(Beat(beat))
    }

    /// Whether the song plays.
    pub fn is_rolling(&self) -> bool {
        self.rolling.load(Relaxed)
    }

    /// Counts an event that found the queue full.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn count_dropped(&self) {
        self.dropped.fetch_add(1, Relaxed);
    }

    /// Events that found the queue full and were lost.
    pub fn dropped(&self) -> u64 {
        self.dropped.load(Relaxed)
    }

    /// Counts sound that found the queue full, in milliseconds.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn count_lost_sound(&self, milliseconds: u64) {
        self.lost_sound.fetch_add(milliseconds, Relaxed);
    }

    /// Sound that found the queue full and was not heard, in milliseconds.
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
}
