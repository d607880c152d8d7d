//! The beat from the band: follows drums and bass from a count-in on, and says how sure each beat is.
//!
//! 1. [`BandHearing`]: samples become hops of 5 ms, each with how much is new in three parts of the
//!    spectrum against the last seconds. Silence says nothing.
//! 2. `evidence`: how well a hop suits each place in the bar, by `weights` fitted to rendered
//!    bands, and by `pattern`, which learns what this one plays.
//! 3. `space`: places in the bar at each tempo (Krebs, Böck and Widmer 2015).
//! 4. [`BandFollower`] goes forward over hops as they come; [`BandTake`] finds the best way through a take
//!    that is over, from both sides, and through the beats that were told; `refine` puts each on the
//!    `strokes` that are heard there.
//!
//! Hops give the same whatever the size of the blocks. Memory is made by `new` alone; a worker runs it. A beat
//! that the band does not tell is bridged at the tempo so far, and said to be. The nearest beat may look
//! right while the count is wrong: what is told by a tap or by hand is the truth, and the rest follows it.

mod beat;
mod count_in;
mod evidence;
mod follower;
mod forward;
mod frames;
mod hearing;
mod mean;
mod path;
mod pattern;
mod refine;
mod space;
mod strength;
mod strokes;
mod sureness;
mod take;
mod weights;

pub use beat::{BandBeat, Sureness, ToldBeat};
pub use count_in::BandCountIn;
pub use follower::BandFollower;
pub use hearing::{BandHearing, HOP_SECONDS, Hop};
pub use strength::OnsetStrength;
pub use take::BandTake;

/// A count of hops or frames as a number; they stay far below 2^23 a beat.
#[expect(clippy::cast_precision_loss, reason = "cells of a bar stay far below 2^23")]
fn real(count: usize) -> f32 {
    count as f32
}

/// In single precision.
#[expect(clippy::cast_possible_truncation, reason = "shares of a beat need no more")]
fn single(value: f64) -> f32 {
    value as f32
}

/// The nearest whole number; 0 for what is negative or none.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the conversion saturates, and 0 is said to stand for what is negative or no number"
)]
fn whole(value: f64) -> usize {
    value.round() as usize
}

#[cfg(test)]
mod tests;
