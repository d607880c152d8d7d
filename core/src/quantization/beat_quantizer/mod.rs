//! Quantizes all notes of a beat together, by how they divide it.
//!
//! A candidate puts the notes of a beat on one, two, three or more equal parts (`grid_assignment`). Its
//! cost (`costs`) gives its posterior probability (`posterior`). Two sets of costs judge a note a
//! little off its part:
//! - *by the beat*: notes late together are late with their beat, and only their deviation from each
//!   other counts. Labels of recorded soloists follow this.
//! - *by the player*: against the player's own steady lag and swing (`player_timing`).
//!
//! The two are mixed. The weight (`mixture_weight`) depends on how steady the player has been and on
//! how well the beat fits. An exact line, as a program writes it, is taken as it stands.
//!
//! A beat settles when a note of another beat has come. The result depends on the notes so far and
//! on nothing else, and a note costs the same at any length of take. A finished take is quantized
//! from its start with the timing that its first thousand notes show.

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
