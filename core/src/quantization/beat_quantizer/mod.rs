//! Reads where in the felt pulse notes were meant, beat by beat: all notes of a beat together, by
//! how they divide it.
//!
//! Each way of laying the notes of a beat on one, two, three or more equal parts (`divide`) has a
//! cost (`costs`), and the costs make each likely or not (`likely`). Players differ in what a note a little
//! off its part means, and two sets of costs tell it:
//! - *by the beat*: notes late together are late with their beat, and only what is left between
//!   them counts. Recorded soloists are labelled so.
//! - *by the player*: who has a steady lag and swing of his own is read by them (`habit`).
//!
//! A beat is read in both ways, and a place is as likely as both together say. The share of each is
//! told by how steady the player has been, and by how well the beat fits (`odds`). A line that is
//! exact is read as it stands.
//!
//! A note is read by itself ([`crate::quantization::note_quantizer`]) at its onset, together with the others of its
//! beat as they come, and settled when a note of another beat has come. What is read depends on
//! the notes of the line so far and on nothing else, and a note costs the same at any length of
//! take. A take that is over is read from its beginning on by what its first thousand notes tell of
//! the player, whom nobody knows while they are played.

mod costs;
mod grid_assignment;
mod mixture_weight;
mod packed_indices;
mod player_timing;
mod posterior;
mod quantizer;

pub use quantizer::BeatQuantizer;

#[cfg(test)]
mod tests;
