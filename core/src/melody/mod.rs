//! Finds the melody line among the notes of a soloist. Chords count as one onset, a left hand or bass
//! strings under the line are separated, slips are dropped, and grace notes belong to their main note.
//!
//! # Steps
//! 1. `clusters`: notes struck as one, without glitches and double triggers.
//! 2. `voices`: whether a cluster belongs to the line or lies under it. A monophonic take is never
//!    divided, whatever its leaps.
//! 3. `ornaments`: short notes before a main note, which is then the onset.
//!
//! # Conventions
//! The result depends only on the notes and their ends, however often [`MelodyOnsets::follow`] is called.
//! A note's role is final once [`SETTLED`] has passed. A note that has not ended counts as sounding. The
//! first [`OPENING`] clusters are judged together, because no register is known before.

mod channels;
mod clusters;
mod onset;
mod onset_cluster;
mod onsets;
mod ornaments;
mod recent;
mod registers;
mod role;
mod voices;

pub use onset::{MelodyOnset, TimedOnset};
pub use onsets::{MelodyOnsets, OPENING, SETTLED};
pub use role::{NoteRole, RoleCounts};

#[cfg(test)]
mod tests;
