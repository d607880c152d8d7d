//! What two samples say about their difference, and whether it is enough to be said aloud.
//!
//! # Conventions
//! - A difference is the first sample less the second.
//! - `p` is the two-sided probability of so great a difference where there is none.
//! - Nothing is random: where arrangements are drawn, they are drawn by a generator with a fixed
//!   seed, so that the same samples always give the same numbers.

mod family;
mod lengths;
mod random;
mod shares;
mod slope;

pub use family::{Claim, claims};
pub use lengths::{LengthDifference, MOST_EXACT, length_difference};
pub use random::Fixed;
pub use shares::{ShareDifference, share_difference};
pub use slope::{Slope, slope};

/// How many arrangements are drawn where there are too many to go through. Origin: a level of
/// 0.05 is then met within 0.004 (Davison and Hinkley 1997, section 4.2.5: 999 at least).
const DRAWS: u32 = 9_999;

/// How many are drawn of more figures than [`MANY`], so that a take of hours is read in seconds.
const DRAWS_OF_MANY: u32 = 999;

/// More figures than a take of an hour has phrases.
const MANY: usize = 5_000;

fn draws(figures: usize) -> u32 {
    if figures > MANY { DRAWS_OF_MANY } else { DRAWS }
}

/// The least distance at which two sums of the same figures count as different, in parts of the
/// greatest: beyond what adding in another order rounds.
const SAME: f64 = 1e-9;
