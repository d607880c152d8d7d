//! Significance of differences and trends.
//!
//! # Conventions
//! - A difference is the first sample minus the second.
//! - `p` is two-sided.
//! - Arrangements are drawn by a generator with a fixed seed: the same samples always give the same
//!   numbers.

mod family;
mod lengths;
mod random;
mod shares;
mod slope;

pub use family::{Claim, claims};
pub use lengths::{LengthDifference, length_difference};
pub use random::Fixed;
pub use shares::{ShareDifference, share_difference};
pub use slope::{Slope, slope};

/// Arrangements drawn if there are too many to enumerate. Origin: a level of 0.05 is then met
/// within 0.004 (Davison and Hinkley 1997, section 4.2.5: at least 999).
const DRAWS: u32 = 9_999;

/// Arrangements drawn of more than [`MANY`] values, so that a take of hours takes seconds.
const DRAWS_OF_MANY: u32 = 999;

/// More than the phrases in an hour.
const MANY: usize = 5_000;

fn draws(values: usize) -> u32 {
    if values > MANY { DRAWS_OF_MANY } else { DRAWS }
}

/// Least relative distance of two different sums of the same values, above the rounding error of
/// adding them in another order.
const SAME: f64 = 1e-9;
