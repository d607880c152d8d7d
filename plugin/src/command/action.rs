//! What the user did in the panel, for whoever owns session and parameters to do.

use crate::command::Ask;
use crate::command::drill::Wish;
use crate::jobs::library_browser::Search;
use crate::jobs::progress_job::Chosen;
use overbar_core::take::TakeId;

/// One thing to do.
#[derive(Debug, Clone, PartialEq)]
pub enum Act {
    /// Ask the session.
    Ask(Ask),
    /// Wish for something of practice.
    Practice(Wish),
    /// Search the library.
    Search(Search),
    /// Read progress over days and weeks.
    Past(Chosen),
    /// Fetch a take of the library into the project.
    Fetch(TakeId),
    /// Set a parameter.
    Set {
        /// Its id.
        id: String,
        /// To what.
        to: To,
    },
}

/// What to set a parameter to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum To {
    /// One step less.
    Less,
    /// One step more.
    More,
    /// What it is at first.
    Default,
    /// What was typed.
    Typed(String),
}
