//! Hops taken together: what is heard in a stretch of some 10 ms.

use super::count_in::BandCountIn;
use super::hearing::{HOP_SECONDS, Hop, PARTS};
use super::{real, single, whole};

/// Places in a beat that the fitted weights tell apart.
pub(super) const FITTED_PLACES: usize = 24;

/// The longest beat, in seconds, that has just that many. Origin: most bands that the weights were fitted to play
/// 100 to 200 beats a minute.
const FITTED_BEAT: f64 = 0.5;

/// Levels of what is new, and where the next one begins, against the mean.
pub(super) const LEVELS: usize = 6;
const LEVEL_FROM: [f32; LEVELS - 1] = [0.3, 0.8, 1.6, 3.0, 5.5];

/// The most frames in a beat: hops are joined until there are no more. Origin: 30 to 60 frames keep a beat within
/// 10 ms up to 100 a minute.
const MOST_FRAMES: f64 = 60.0;

/// The most frames in a beat of a second; other slow beats have as many times the cube root of their seconds. The work
/// per second grows with the cube of the frames in a beat, divided by the beat, so this keeps it even.
const MOST_FRAMES_OF_SLOW: f64 = 80.0;

/// What is heard in a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Frame {
    /// The level in each part of the spectrum; `None` where it has been silent.
    pub levels: [Option<u8>; PARTS],
}

impl Frame {
    /// Whether it says nothing.
    pub(super) fn is_quiet(&self) -> bool {
        self.levels.iter().all(Option::is_none)
    }
}

/// Hops become frames.
#[derive(Debug, Clone)]
pub(super) struct Frames {
    /// Hops in a frame.
    pub step: u32,
    /// Places in a beat. A slow beat has more of them: an attack lasts no longer than in a fast one.
    pub places: usize,
    hops: u32,
    sums: [u32; PARTS],
    heard: [u32; PARTS],
}

impl Frames {
    pub(super) fn new(count_in: &BandCountIn) -> Self {
        let period = count_in.period.0;
        let most = MOST_FRAMES.max(MOST_FRAMES_OF_SLOW * period.cbrt());
        let step = (period / HOP_SECONDS / most).ceil().max(1.0);
        // An even number, so that the middle of the beat has a place.
        let half = f64::from(real(FITTED_PLACES / 2)) * (period / FITTED_BEAT).max(1.0);
        let places = 2 * whole(half);
        let step = u32::try_from(whole(step)).unwrap_or(1);
        Self { step, places, hops: 0, sums: [0; PARTS], heard: [0; PARTS] }
    }

    /// Seconds a frame.
    pub(super) fn seconds(&self) -> f64 {
        f64::from(self.step) * HOP_SECONDS
    }

    /// Takes in a hop; a frame, when it is whole.
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
            // Of 16ths.
            let mean = single(f64::from(sum) / f64::from(self.step) / 16.0);
            let passed = LEVEL_FROM.iter().filter(|from| mean >= **from).count();
            *level = (heard > 0).then(|| u8::try_from(passed).unwrap_or(0));
        }
        (self.hops, self.sums, self.heard) = (0, [0; PARTS], [0; PARTS]);
        Some(frame)
    }
}
