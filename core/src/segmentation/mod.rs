//! Finds phrase starts with small logistic models, in three grades of hindsight.
//!
//! Each interval between two onsets gets a probability that a phrase starts at its end. It depends on the
//! rest in it against the rests around it and the player's usual ones, its length, the leap, and how long
//! the phrase has run. The weights are in `weights.txt`, fitted by `cargo xtask score --fit`; [`features`]
//! defines the features exactly.
//!
//! Scores on 212 labelled solos of the Weimar Jazz Database (Pfleiderer and others 2017), pooled
//! F1 by five-fold cross-validation grouped by solo: live .902, settled .911, after .914.

mod boundary;
pub mod features;
mod gate;
mod hindsight;
mod intervals;
pub mod rows;
mod segmenter;
pub mod teach;
pub mod weights;
pub(crate) mod whole;
mod window;

pub use boundary::{Boundary, BoundaryStatus};
pub use hindsight::Hindsight;
pub use intervals::RestBy;
pub use segmenter::{JudgedOnset, Judgement, SETTLES_AFTER, Segmenter, bounded};
pub use whole::{judge_onsets, starts_at_last_onset};

#[cfg(test)]
mod tests;
