//! What the panel or a parameter asks of practice; the worker sees to it.

use crate::view_model::setting::Adjustment;
use overbar_core::practice::Drill;

/// A wish.
#[derive(Debug, Clone, PartialEq)]
pub enum DrillCommand {
    /// Take drill number so many of the list, from 0.
    Choose(usize),
    /// Practise that drill's aims together with those that are chosen.
    AddAims(usize),
    /// Leave out an aim of the chosen drill, from 0.
    LeaveOut(usize),
    /// Change a knob of the chosen drill.
    Turn {
        /// Its id.
        id: String,
        /// To what.
        to: Adjustment,
    },
    /// Keep the chosen drill under this name.
    Keep(String),
    /// Forget the own mix that is this many down the list.
    Forget(usize),
    /// Take the drill that this text of a file holds, and keep it.
    Read(String),
    /// Take this drill, which is none of the list, and begin it.
    Practise(Box<Drill>),
    /// Begin the chosen drill, or begin it anew.
    Start,
    /// End the drill under way.
    End,
}
