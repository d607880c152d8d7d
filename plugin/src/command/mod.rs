//! What the user can ask for, as plain values. The panel sends them and the worker applies them, so
//! that the panel never waits for the analysis.

pub mod action;
pub mod comp;
pub mod drill;
pub mod export;

use crate::command::comp::CompareCommand;
use crate::view_model::tune::TuneField;
use overbar_core::take::TakeId;
use overbar_core::time::Second;
use overbar_library::merge::StoredTake;

/// A command for session and take store.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// Show take this many, from 1, or the current one.
    LookAt(Option<u32>),
    /// Look into the phrase that has the note of this index, or into none.
    Choose(Option<usize>),
    /// Say by hand whether a phrase begins at an onset, or leave that to the ear.
    Correct {
        /// Number of the take, from 1.
        take: u32,
        /// When the onset was played.
        at: Second,
        /// See [`correct`](overbar_core::session::Session::correct).
        begins: Option<bool>,
    },
    /// Give a take a name; an empty one takes it away.
    Rename(TakeId, String),
    /// Give or take a star.
    Star(TakeId, bool),
    /// Write the user's note on a take.
    Remark(TakeId, String),
    /// Delete a take that is over; to be had back with [`Command::Undo`].
    Delete(TakeId),
    /// Part a take that is over: what begins at this second or later is the second part.
    Split(TakeId, Second),
    /// Part a take that is over into its solos, each a take of its own.
    SplitIntoSolos(TakeId),
    /// Mark the place that the song has come to: what comes after is another solo.
    Mark,
    /// Make one take of several, in this order.
    Merge(Vec<TakeId>),
    /// Undo the last deletion, parting or joining.
    Undo,
    /// Take a take of the library into the project.
    Fetch(Box<StoredTake>),
    /// Set a field of the tune that is played: its name, which brings the form that is known of it, or
    /// another.
    SetTune(TuneField, String),
    /// Say which tune a take is of; an empty name says that it is not known.
    Retune(TakeId, String),
    /// Compare takes, cut a comp, write or read files.
    Compare(CompareCommand),
}
