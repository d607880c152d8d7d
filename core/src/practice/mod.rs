//! Drills: practising one thing, with a listener that counts.
//!
//! A [`Drill`] is data: its [`Goal`]s, form, choruses, tempos and pass mark. A [`Listener`] evaluates it
//! on a growing take, and a [`DrillReport`] sums up. Nothing here judges pitch, and no person is graded.
//!
//! # Conventions
//! - A *chorus* is once through the form. A *round* is all choruses of a drill at one tempo.
//! - Bars and choruses are counted from 1. A bar of a result is one of the form, not of the song.
//! - The host owns the tempo: a drill with a tempo plan asks for the next one
//!   ([`DrillState::AsksForTempo`]) and continues at the first chorus with that tempo.

mod bar_position;
mod breath;
mod built_in;
mod chorus;
mod definition;
mod entry;
mod entry_timing;
mod exit;
mod file;
mod fit;
pub mod input_latency;
mod landing;
mod line;
mod listener;
mod long_line;
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
pub use definition::{Breath, Drill, DrillError, DrillForm, Exit, Goal, NoteValue, TempoPlan};
pub use entry::{EntryResult, Miss};
pub use exit::ExitResult;
pub use file::{FileError, read, write};
pub use landing::{Landing, Landings, MAX_LANDINGS, Outcome};
pub use line::{Break, LineResult};
pub use listener::Listener;
pub use long_line::LongLineResult;
pub use progress::{DrillState, Due, Progress, Wanted};
pub use report::{DrillReport, RoundResult};
pub use result::{ChorusResult, GoalResult};
