//! What the user did in the panel, for the window that owns session and parameters to carry out.

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
        /// The newest result in the library is not an earlier one.
        but_the_last: bool,
    },
    /// Fetch a take of the library into the project.
    Fetch(TakeId),
    /// Take away a notice with this text; one that comes later with the same text is shown.
    Dismiss(String),
    /// Tap the beat.
    Tap,
    /// Learn the next note as the one that taps the beat; or no longer.
    Learn(bool),
    /// Set a parameter.
    Set {
        /// Its id.
        id: String,
        /// How.
        to: Adjustment,
    },
    /// Drag a parameter.
    Drag {
        /// Its id.
        id: String,
        /// Where to, from its minimum at 0 to its maximum at 1.
        to: f32,
        /// Which part of the drag it is.
        drag: Drag,
    },
}
