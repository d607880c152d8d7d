//! Drills: exaggerated practice of one thing at a time, with a listener that counts.
//!
//! A [`Drill`] is data: what is asked for ([`Goal`]), over which form, how often, at which tempos,
//! and from which share on it counts as passed. A [`Listener`] follows a take as it grows and
//! counts; it reads notes and phrases only, so that what it counts does not depend on how often
//! it is asked. A [`Report`] sums up. Nothing here judges pitch, and no person is graded.
//!
//! # Conventions
//! - A *chorus* is once through the form. A *round* is all choruses of a drill at one tempo.
//! - Bars and choruses are counted from 1. A bar of a result is one of the form, not the song.
//! - The host owns the tempo: a drill that climbs in tempo asks for the next one in words
//!   ([`State::AsksForTempo`]) and goes on at the top of the form where it hears it.

mod bar_position;
mod breath;
mod built_in;
mod chorus;
mod definition;
mod entry;
mod exit;
mod file;
mod fit;
pub mod input_latency;
mod line;
mod listener;
mod long_line;
mod manner;
pub mod metronome;
mod progress;
mod report;
mod result;
mod rounds;
mod take_so_far;
#[cfg(test)]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "counts and beats of invented takes are small"
)]
mod tests;
mod words;

pub use bar_position::BarPosition;
pub use breath::BreathResult;
pub use built_in::built_in;
pub use definition::{Breath, Drill, Exit, Fault, Form, Goal, NoteValue, TempoPlan};
pub use entry::{EntryResult, Miss};
pub use exit::ExitResult;
pub use file::{FileError, read, write};
pub use line::{Break, LineResult};
pub use listener::Listener;
pub use long_line::LongLineResult;
pub use progress::{Due, Progress, State, Wanted};
pub use report::{Report, RoundResult};
pub use result::{ChorusResult, GoalResult};
