//! Commands for practice, from the panel or a parameter.

use crate::view_model::setting::Adjustment;
use overbar_core::practice::Drill;

/// A command.
#[derive(Debug, Clone, PartialEq)]
pub enum DrillCommand {
    /// Choose the drill at this index of the list.
    Choose(usize),
    /// Add the aims of the drill at this index to the chosen drill.
    AddAims(usize),
    /// Remove an aim of the chosen drill, by index.
    LeaveOut(usize),
    /// Change a setting of the chosen drill.
    Turn {
        /// Its id.
        id: String,
        /// The change.
        to: Adjustment,
    },
    /// Keep the chosen drill under this name.
    Keep(String),
    /// Forget the user's own drill at this index of the list.
    Forget(usize),
    /// Parse a drill from its text format, and keep it.
    Read(String),
    /// Start this drill, which is not in the list.
    Practise(Box<Drill>),
    /// Start or restart the chosen drill.
    Start,
    /// End the current drill.
    End,
}
