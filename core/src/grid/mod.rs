//! A beat grid of one's own, for a take without a click: from taps, from the band, or from places set by hand.
//!
//! Taps become [`anchors::Anchors`]: moments whose bar and beat are known. [`follower::TapFollower`] does
//! that while they come. [`beat_grid::BeatGrid`] is worked out from anchors, from both sides, and says
//! where it was bridged. Anchors are values: an edit gives new ones, so the old ones are the undo. Uses
//! `time`, and of `transcription` how sound is looked at; a take's notes are stamped anew by the stage `take`.

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

/// A felt beat of the grid, counted on from 0 at beat one of the first bar. May be negative.
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

/// The shortest and the longest felt beat that is followed, in seconds: 400 and 20 BPM. Origin: jazz is
/// played from about 50 to 350 BPM; common practice, no source.
pub const PULSE_SECONDS: core::ops::RangeInclusive<f64> = 0.15..=3.0;

/// No anchor lies beyond this, in seconds: a day.
pub const FARTHEST_SECOND: f64 = 86_400.0;

/// A count of felt beats as a number; they stay far below 2^52.
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
