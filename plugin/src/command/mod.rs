//! The user's commands, as plain values. The panel sends them and the worker applies them, so that the panel
//! never waits for the analysis.

pub mod action;
pub mod comp;
pub mod drill;
pub mod export;
pub mod system;

use crate::command::comp::CompareCommand;
use crate::command::system::SystemCommand;
use crate::view_model::hear::HearRequest;
use crate::view_model::tune::TuneField;
use overbar_core::take::TakeId;
use overbar_core::take::grid_edit::GridEdit;
use overbar_core::time::Second;

/// A command for session and take store.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// Show the take of this number, from 1, or the current one.
    LookAt(Option<u32>),
    /// Show the phrase with the note of this index in detail, or none.
    Choose(Option<usize>),
    /// Correct whether a phrase starts at an onset, or undo the correction.
    Correct {
        /// Number of the take, from 1.
        take: u32,
        /// When the onset was played.
        at: Second,
        /// See [`correct`](overbar_core::session::Session::correct).
        begins: Option<bool>,
    },
    /// Name a take; empty removes the name.
    Rename(TakeId, String),
    /// Add or remove a star.
    Star(TakeId, bool),
    /// Write the user's note on a take.
    Remark(TakeId, String),
    /// Change the beat grid of a finished take.
    Regrid(TakeId, GridEdit),
    /// Delete a finished take; [`Command::Undo`] brings it back.
    Delete(TakeId),
    /// Split a finished take: notes from this second on are the second part.
    Split(TakeId, Second),
    /// Split a finished take into its solos, each a take of its own.
    SplitIntoSolos(TakeId),
    /// Mark the current position: a new solo starts there.
    Mark,
    /// Merge takes in this order.
    Merge(Vec<TakeId>),
    /// Undo the last change to the takes or their labels.
    Undo,
    /// Redo what was undone last.
    Redo,
    /// Set a field of the current tune. The name of a known tune brings back its form.
    SetTune(TuneField, String),
    /// Set the tune of a take; an empty name for none.
    Retune(TakeId, String),
    /// Compare takes, cut a comp, write or read files.
    Compare(CompareCommand),
    /// Play something through the outputs, in place of what is playing.
    Hear(Box<HearRequest>),
    /// Stop Hear playback.
    StopHearing,
    /// Call the operating system.
    System(SystemCommand),
}
