//! User actions in the panel, carried out by the window, which owns session and parameters.

use crate::command::Command;
use crate::command::drill::DrillCommand;
use crate::view_model::library::LibrarySearch;
use crate::view_model::progress::ProgressFilter;
use crate::view_model::setting::{Adjustment, Drag};
use overbar_core::take::TakeId;

/// One action.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// A command for the session.
    Session(Command),
    /// A command for practice.
    Practice(DrillCommand),
    /// Search the library.
    Search(LibrarySearch),
    /// Compute progress over days and weeks.
    Progress(ProgressFilter),
    /// Read the earlier results of a drill.
    DrillPast {
        /// Its name.
        drill: String,
        /// Leave out the newest result in the library: it is the current one.
        but_the_last: bool,
    },
    /// Fetch a take of the library into the project.
    Fetch(TakeId),
    /// Dismiss the notice with this text; a later one with the same text is shown.
    Dismiss(String),
    /// Tap the beat.
    Tap,
    /// Start learning the next note as the tap note, or stop.
    Learn(bool),
    /// Set a parameter.
    Set {
        /// Its id.
        id: String,
        /// The change.
        to: Adjustment,
    },
    /// Drag a parameter.
    Drag {
        /// Its id.
        id: String,
        /// The new value as a fraction of its range, from 0 to 1.
        to: f32,
        /// Which part of the drag it is.
        drag: Drag,
    },
}
