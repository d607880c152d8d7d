//! The beat from the band: follows drums and bass from a count-in on, and reports how sure each beat is.
//!
//! 1. [`BandHearing`] turns samples into hops of 5 ms with the spectral flux in three parts of the spectrum, relative
//!    to the last seconds.
//! 2. `evidence`: the likelihood of a frame of hops at each place in the bar, by `weights` fitted to rendered bands,
//!    and by `pattern`, which learns what this band plays.
//! 3. `space`: the states, which are places in the bar at each tempo (Krebs, Böck and Widmer 2015).
//! 4. [`BandFollower`] runs the forward algorithm live; [`BandTake`] finds the Viterbi path through a finished take
//!    and the known beats; `refine` moves each beat to its `strokes`.
//!
//! Results do not depend on the block size. Only `new` allocates; a worker runs it all. A beat that the sound does not
//! show is bridged at the tempo so far, and marked. Beats may be right while their count is wrong: a known beat, tapped
//! or set by hand, is taken as true, and the rest follows it.

mod beat;
mod confidence;
mod count_in;
mod evidence;
mod follower;
mod forward;
mod frames;
mod hearing;
mod lanes;
mod margins;
mod mean;
mod path;
mod pattern;
mod refine;
mod space;
mod strength;
mod strokes;
mod take;
mod weights;

pub use beat::{BandBeat, BeatConfidence, KnownBeat};
pub use count_in::BandCountIn;
pub use follower::BandFollower;
pub use hearing::{BandHearing, HOP_SECONDS, Hop};
pub use strength::OnsetStrength;
pub use take::BandTake;

/// A count of hops or frames in single precision.
#[expect(clippy::cast_precision_loss, reason = "cells of a bar stay far below 2^23")]
fn real(count: usize) -> f32 {
    count as f32
}

/// Rounds to single precision.
#[expect(clippy::cast_possible_truncation, reason = "shares of a beat need no more")]
fn single(value: f64) -> f32 {
    value as f32
}

/// The nearest whole number; 0 if negative or not a number.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the conversion saturates, and gives 0 for negative values and NaN as documented"
)]
fn whole(value: f64) -> usize {
    value.round() as usize
}

#[cfg(test)]
mod tests;
