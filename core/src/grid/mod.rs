//! A take's own beat grid, if it was played without a click: from taps, from the band, or set by hand.
//!
//! Taps become [`anchors::Anchors`]: moments whose bar and beat are known. [`follower::TapFollower`] finds them
//! live. [`beat_grid::BeatGrid`] smooths anchors in both directions and marks the bridged stretches. Anchors are
//! immutable: an edit returns new ones, and undo keeps the old ones. Uses `time`, and the spectra of
//! `transcription`; the stage `take` stamps a take's notes again.

pub mod anchors;
pub mod band;
pub mod beat_grid;
mod count_in;
pub mod edits;
pub mod file;
pub mod follower;
mod kalman;
pub mod live_line;
pub mod settling;

pub use count_in::COUNT_IN;

use core::ops::{Add, Sub};
use serde::{Deserialize, Serialize};

/// The number of a felt beat, from 0 at beat one of the first bar. May be negative.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct PulseNumber(pub i64);

impl Add<i64> for PulseNumber {
    type Output = Self;
    fn add(self, pulses: i64) -> Self {
        Self(self.0.saturating_add(pulses))
    }
}

impl Sub for PulseNumber {
    type Output = i64;
    fn sub(self, other: Self) -> i64 {
        self.0.saturating_sub(other.0)
    }
}

/// The range of beat periods that are followed, in seconds: 400 to 20 BPM. Origin: jazz is played at about
/// 50 to 350 BPM; common practice, no source.
pub const PULSE_SECONDS: core::ops::RangeInclusive<f64> = 0.15..=3.0;

/// The latest possible time of an anchor, in seconds: a day.
pub const FARTHEST_SECOND: f64 = 86_400.0;

/// A count of felt beats as a floating-point number.
#[expect(clippy::cast_precision_loss, reason = "a day of felt beats is below 2^20")]
fn real(pulses: i64) -> f64 {
    pulses as f64
}

/// The nearest whole number of felt beats.
#[expect(clippy::cast_possible_truncation, reason = "the cast saturates")]
fn nearest(pulses: f64) -> i64 {
    pulses.round() as i64
}

#[cfg(test)]
mod tests;
