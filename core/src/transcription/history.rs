//! The features of the last hops, by the time that they describe.
//!
//! Each feature describes the middle of its window, which the accessors take into account. Hops are counted from the
//! first; unknown hops are silent.

use super::level::STEPS;
use super::novelty::{PARTS, Spectrum};
use super::pitch::Pitch;

/// Hops that are kept: 0.34 s.
const KEPT: usize = 64;

/// The delay of each feature, in hops.
const NOVELTY_LATE: u64 = 2;
const LEVEL_LATE: u64 = 1;
pub(super) const PITCH_LATE: u64 = 3;

/// The features of a hop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Hop {
    /// See `novelty`.
    pub spectrum: Spectrum,
    /// In dB.
    pub level: f32,
    /// The same for the removed band.
    pub taken: f32,
    /// See `pitch`.
    pub pitch: Pitch,
    /// The pitch as a fractional MIDI key at 440 Hz; 0 if there is none.
    pub key: f32,
    /// The largest sample of each step.
    pub peaks: [f32; STEPS],
}

impl Hop {
    const SILENT: Self = Self {
        spectrum: Spectrum { novelty: 0.0, brightness: 0.0, new: [0.0; PARTS], loud: [0.0; PARTS] },
        level: -120.0,
        taken: -120.0,
        pitch: Pitch { hertz: 0.0, clarity: 0.0 },
        key: 0.0,
        peaks: [0.0; STEPS],
    };
}

/// See the module.
#[derive(Debug, Clone)]
pub(super) struct History {
    hops: [Hop; KEPT],
    /// The number of hops so far.
    count: u64,
}

impl History {
    pub(super) fn new() -> Self {
        Self { hops: [Hop::SILENT; KEPT], count: 0 }
    }

    pub(super) fn push(&mut self, hop: Hop) {
        let place = place(self.count);
        if let Some(kept) = self.hops.get_mut(place) {
            *kept = hop;
        }
        self.count += 1;
    }

    /// The number of hops so far.
    pub(super) fn count(&self) -> u64 {
        self.count
    }

    fn hop(&self, number: u64) -> &Hop {
        let known = number < self.count && number + KEPT as u64 >= self.count;
        let hop = known.then(|| self.hops.get(place(number))).flatten();
        hop.unwrap_or(&Hop::SILENT)
    }

    /// The spectrum at that time.
    pub(super) fn spectrum(&self, at: u64) -> &Spectrum {
        &self.hop(at + NOVELTY_LATE).spectrum
    }

    /// The spectral novelty at that time.
    pub(super) fn novelty(&self, at: u64) -> f32 {
        self.spectrum(at).novelty
    }

    /// The level at that time, in dB.
    pub(super) fn level(&self, at: u64) -> f32 {
        self.hop(at + LEVEL_LATE).level
    }

    /// The level of the removed band, in dB.
    pub(super) fn taken(&self, at: u64) -> f32 {
        self.hop(at + LEVEL_LATE).taken
    }

    /// The pitch at that time as a key at 440 Hz, and its clarity.
    pub(super) fn key(&self, at: u64) -> (f32, f32) {
        let hop = self.hop(at + PITCH_LATE);
        (hop.key, hop.pitch.clarity)
    }

    /// The largest sample of a step; steps are also counted from the first.
    pub(super) fn peak(&self, step: u64) -> f32 {
        let steps = STEPS as u64;
        let within = usize::try_from(step % steps).unwrap_or(0);
        self.hop(step / steps).peaks.get(within).copied().unwrap_or(0.0)
    }
}

fn place(number: u64) -> usize {
    usize::try_from(number % KEPT as u64).unwrap_or(0)
}
