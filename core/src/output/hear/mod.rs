//! Hear: a stretch of a take, to be listened to.
//!
//! A [`Schedule`] is made of a take and a [`Stretch`] of it: note-ons and note-offs in seconds, as they
//! were played, with a click on each felt beat. A [`Player`] hands its events out block by block, slower
//! or looped where that is asked for, and a [`Tone`] sounds them.
//!
//! # Conventions
//! - Times of a schedule are seconds at full speed from its own start: where the take has a beat grid, a
//!   bar line.
//! - Every note-on has its note-off in the schedule. A note that sounds where the stretch starts is not
//!   heard; one that sounds where it ends is cut there.
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
