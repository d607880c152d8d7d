//! Joins hops into frames of about 10 ms.

use super::count_in::BandCountIn;
use super::hearing::{HOP_SECONDS, Hop, PARTS};
use super::{real, single, whole};

/// Places per beat in the fitted weights.
pub(super) const FITTED_PLACES: usize = 24;

/// The longest beat with that many places, in seconds. Origin: most bands that the weights were fitted to play at
/// 100 to 200 BPM.
const FITTED_BEAT: f64 = 0.5;

/// Levels of novelty, and their lower bounds from the second on, relative to the mean.
pub(super) const LEVELS: usize = 6;
const LEVEL_FROM: [f32; LEVELS - 1] = [0.3, 0.8, 1.6, 3.0, 5.5];

/// The most frames per beat, which sets the hops per frame. Origin: 30 to 60 frames keep a beat within 10 ms up
/// to 100 BPM.
const MAX_FRAMES: f64 = 60.0;

/// The most frames in a beat of one second; for other slow beats, times the cube root of the period. The work per
/// second grows with the cube of the frames per beat over the period, so this keeps it constant.
const MAX_SLOW_FRAMES: f64 = 80.0;

/// A frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Frame {
    /// The level of each part of the spectrum; `None` while it is silent.
    pub levels: [Option<u8>; PARTS],
}

impl Frame {
    /// Whether every part is silent.
    pub(super) fn is_quiet(&self) -> bool {
        self.levels.iter().all(Option::is_none)
    }
}

/// Joins hops into frames.
#[derive(Debug, Clone)]
pub(super) struct Frames {
    /// Hops per frame.
    pub step: u32,
    /// Places per beat. A slow beat has more, because its attacks are no longer.
    pub places: usize,
    hops: u32,
    sums: [u32; PARTS],
    heard: [u32; PARTS],
}

impl Frames {
    pub(super) fn new(count_in: &BandCountIn) -> Self {
        let period = count_in.period.0;
        let max = MAX_FRAMES.max(MAX_SLOW_FRAMES * period.cbrt());
        let step = (period / HOP_SECONDS / max).ceil().max(1.0);
        // An even number, so that the middle of the beat is a place.
        let half = f64::from(real(FITTED_PLACES / 2)) * (period / FITTED_BEAT).max(1.0);
        let places = 2 * whole(half);
        let step = u32::try_from(whole(step)).unwrap_or(1);
        Self { step, places, hops: 0, sums: [0; PARTS], heard: [0; PARTS] }
    }

    /// Seconds per frame.
    pub(super) fn seconds(&self) -> f64 {
        f64::from(self.step) * HOP_SECONDS
    }

    /// Adds a hop; returns a frame when it is complete.
    pub(super) fn next(&mut self, hop: Hop) -> Option<Frame> {
        for ((sum, heard), value) in self.sums.iter_mut().zip(&mut self.heard).zip(hop.0) {
            *sum += u32::from(value.saturating_sub(1));
            *heard += u32::from(value > 0);
        }
        self.hops += 1;
        if self.hops < self.step {
            return None;
        }
        let mut frame = Frame::default();
        for ((level, sum), heard) in frame.levels.iter_mut().zip(self.sums).zip(self.heard) {
            // From 16ths.
            let mean = single(f64::from(sum) / f64::from(self.step) / 16.0);
            let passed = LEVEL_FROM.iter().filter(|from| mean >= **from).count();
            *level = (heard > 0).then(|| u8::try_from(passed).unwrap_or(0));
        }
        (self.hops, self.sums, self.heard) = (0, [0; PARTS], [0; PARTS]);
        Some(frame)
    }
}
