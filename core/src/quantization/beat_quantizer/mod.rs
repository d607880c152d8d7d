//! Quantizes all notes of a beat together, by how they divide it.
//!
//! A candidate assigns the notes of a beat to one, two, three or more equal parts (`grid_assignment`). Its
//! cost (`costs`) gives its posterior probability (`posterior`). Two sets of costs measure deviations
//! differently:
//! - *by the beat*: notes that are late together are late with their beat, and only their deviation from
//!   each other counts. Labels of recorded soloists follow this.
//! - *by the player*: against the player's own steady lag and swing (`player_timing`).
//!
//! The two are mixed. The weight (`mixture_weight`) depends on how steady the player has been and on
//! how well the beat fits. An exact line, as written by a program, is kept as it is.
//!
//! A beat settles when a note of another beat arrives. The result depends only on the notes so far, and a
//! note costs the same at any length of take. A finished take is quantized from its start with the timing
//! estimated from its first thousand notes.

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
