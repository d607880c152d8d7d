//! Takes side by side: their figures, how far they differ, and a sentence only where that is more
//! than chance.
//!
//! # What is claimed
//! Every difference is shown with its own 95 % interval. Two of them are also claimed in words
//! where the evidence holds: where phrases enter ([`ComparedMeasure::OffBeatEntries`]) and how long they
//! are ([`ComparedMeasure::Bars`]). The others repeat these two in part, and are only shown.
//!
//! All claims made at once, over both measures and all pairs of takes, together have a chance of
//! at most 5 % of one false claim or more (Holm's procedure, [`crate::stats::evidence::claims`]).
//! Entries have four fifths of it and lengths one fifth: a difference in shares is hard to see
//! in few phrases. So an interval may leave out 0 where nothing is claimed.
//!
//! # What that gives
//! Measured on invented takes that went through the analyser (`compare/tests.rs`):
//! - without a true difference, takes of 8 to 24 phrases, 40 to 85 % of them off the beat: some
//!   claim in 4.5 % of 2,000 pairs;
//! - with a true difference of 35 points and 16 phrases each: the claim that entries differ in
//!   52 % of 2,000 pairs.
//!
//! At worst, with 16 phrases each of which half enter off the beat, Newcombe's interval leaves
//! out 0 in 5.0 % of pairs (computed over all outcomes) where 3.6 are meant, and the chance of a
//! false claim is then 6 %.

mod comparison;
mod norms;
mod reference;
mod sentence;

pub use comparison::{
    ComparedMeasure, ComparedTake, Comparison, FEWEST_TAKES, Gap, MOST_TAKES, NamedTake,
    TakeDifference, WrongNumber, compare,
};
pub use norms::{NORM_SOURCE, Style, StyleNorm, against_norm};
pub use reference::{Reference, against_reference};
pub use sentence::{DifferenceSentence, bars_text, points};

#[cfg(test)]
mod tests;
