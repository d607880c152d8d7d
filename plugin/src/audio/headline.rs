//! The few values that cross threads as plain atomics: the position in the song, the key figures,
//! and lost events.

use atomic_float::{AtomicF32, AtomicF64};
use overbar_core::session::snapshot::Snapshot;
use overbar_core::time::Beat;
use std::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, Ordering::Relaxed};

/// Written by the audio thread and the worker, read by anyone. Two values read together may be from
/// different moments.
#[derive(Debug, Default)]
pub struct Headline {
    rolling: AtomicBool,
    beat: AtomicF64,
    off_beat_share: AtomicF32,
    beat_one_share: AtomicF32,
    phrases: AtomicU32,
    dropped: AtomicU64,
    not_passed_on: AtomicU64,
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

    /// The position in the song, while it plays on a beat grid.
    #[must_use]
    pub fn playhead(&self) -> Option<Beat> {
        let beat = self.beat.load(Relaxed);
        (self.rolling.load(Relaxed) && beat.is_finite()).then_some(Beat(beat))
    }

    /// Counts an event that found the queue full.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn count_dropped(&self) {
        self.dropped.fetch_add(1, Relaxed);
    }

    /// Events that found the queue full and were lost.
    #[must_use]
    pub fn dropped(&self) -> u64 {
        self.dropped.load(Relaxed)
    }

    /// Counts an event that the host did not accept as output.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub fn count_not_passed_on(&self) {
        self.not_passed_on.fetch_add(1, Relaxed);
    }

    /// Events that the host did not accept as output.
    #[must_use]
    pub fn not_passed_on(&self) -> u64 {
        self.not_passed_on.load(Relaxed)
    }

    /// Sets the key figures from a snapshot.
    pub fn set_heard(&self, snapshot: &Snapshot) {
        #[expect(clippy::cast_possible_truncation, reason = "shares from 0 to 1")]
        let share = |share: Option<f64>| share.map_or(f32::NAN, |s| s as f32);
        self.off_beat_share.store(share(snapshot.figures.off_beat_entries.share()), Relaxed);
        self.beat_one_share.store(share(snapshot.figures.beat_one_entries.share()), Relaxed);
        self.phrases.store(snapshot.figures.phrases, Relaxed);
    }

    /// Share of entries off the beat, share on beat one, and the count of phrases behind them;
    /// `None` before the first phrase.
    #[must_use]
    pub fn heard(&self) -> Option<(f32, f32, u32)> {
        let phrases = self.phrases.load(Relaxed);
        (phrases > 0).then(|| {
            (self.off_beat_share.load(Relaxed), self.beat_one_share.load(Relaxed), phrases)
        })
    }
}
