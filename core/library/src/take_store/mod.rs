//! The takes of a session: their metadata, and where they are kept. Every session has a take store
//! beside it.
//!
//! The store dates takes, keeps the user's labels, has the takes written into the library
//! ([`crate::recorder`]), packs them for the host's project and loads a project. Deleted takes, and
//! takes of a project that cannot be read, are kept aside and saved again with the project.

mod edits;
mod exchange;
mod playing;
mod store;
mod tunes;
mod undo;

pub use edits::TakeParts;
pub use exchange::{OpenedProject, ProjectCopy};
pub use store::{Playing, TakeCopy, TakeMetadata, TakeStore};
pub use undo::{Change, MAX_UNDONE};
