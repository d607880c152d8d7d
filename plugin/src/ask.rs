//! What the panel asks of the session. The worker sees to it, so that the interface never waits
//! while a long take is read.

use overbar_core::session::Session;
use overbar_core::time::Second;

/// A wish.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ask {
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
        /// See [`Session::correct`].
        begins: Option<bool>,
    },
}

impl Ask {
    /// Does it.
    pub fn put_to(self, session: &mut Session) {
        match self {
            Self::LookAt(take) => session.look_at(take),
            Self::Choose(note) => session.choose(note),
            Self::Correct { take, at, begins } => session.correct(take, at, begins),
        }
    }
}
