//! Comparison of takes: figures and differences, and claims only for differences beyond chance.
//!
//! # Claims
//! Every difference is shown with its 95 % interval. Two are also claimed in words where the
//! evidence holds: where phrases start ([`ComparedMeasure::OffBeatEntries`]) and how long they are
//! ([`ComparedMeasure::Bars`]). The others overlap with these two and are only shown.
//!
//! Over both measures and all pairs of takes, the chance of any false claim is at most 5 % (Holm's
//! procedure, `crate::stats::evidence::claims`). Starts have four fifths of it and lengths one
//! fifth: a difference in shares is hard to see in few phrases. A single interval may therefore
//! exclude 0 without a claim.
//!
//! # Measured
//! On invented takes that went through the analyser (`compare/tests.rs`):
//! - no true difference, 8 to 24 phrases, 40 to 85 % off the beat: a claim in 4.5 % of 2,000 pairs;
//! - a true difference of 35 points, 16 phrases each: found in 52 % of 2,000 pairs.
//!
//! The worst case is 16 phrases each, half of them off the beat: Newcombe's interval excludes 0 in
//! 5.0 % of pairs (computed over all outcomes) instead of 3.6 %, and a claim is false in 6 %.

mod comparison;
mod norms;
mod reference;
mod sentence;

pub use comparison::{
    ComparedMeasure, ComparedTake, Comparison, Gap, MAX_TAKES, MIN_TAKES, NamedTake,
    TakeDifference, WrongNumber, compare,
};
pub use norms::{NORM_SOURCE, Style, StyleNorm, against_norm, length_beside, share_beside};
pub use reference::{Reference, against_reference};
pub use sentence::{DifferenceSentence, bars_text, claim, points};

#[cfg(test)]
mod tests;
