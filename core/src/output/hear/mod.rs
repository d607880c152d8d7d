//! Hear: plays back a stretch of a take.
//!
//! A [`Schedule`] is made from a take and a [`Stretch`] of it: note-ons and note-offs in seconds, as played,
//! with a click on each felt beat. A [`Player`] yields its events block by block, optionally slower or
//! looped, and a [`Tone`] sounds them.
//!
//! # Conventions
//! - Times of a schedule are seconds at full speed from its own start, which is a bar line if the take has
//!   a beat grid.
//! - Every note-on has its note-off in the schedule. A note that already sounds when the stretch starts is
//!   left out; one that still sounds when it ends is cut there.
//! - The same schedule gives the same samples at any block size.

mod player;
mod schedule;
mod sounding;
mod stretch;
#[cfg(test)]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "counts and samples of invented takes are small"
)]
mod tests;
mod tone;

pub use player::{HearOptions, Player, SLOWEST};
pub use schedule::{HearEvent, Schedule};
pub use sounding::SoundingNotes;
pub use stretch::Stretch;
pub use tone::Tone;
