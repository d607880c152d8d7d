//! What can go wrong with a library. Every message is a sentence for the user; none of these
//! loses what is in memory.

use crate::packed::PackError;
use overbar_core::take::TakeId;
use std::path::PathBuf;

/// Why the library could not do what was asked.
#[derive(Debug)]
#[non_exhaustive]
pub enum LibraryError {
    /// The disk, or the user's share of it, is full.
    Full,
    /// The file or its folder may not be written.
    ReadOnly,
    /// Another program holds the library and did not let go in time. Worth another try.
    Busy,
    /// The file is damaged, or no library at all.
    Damaged(String),
    /// A newer Overbar wrote it. It is left alone.
    Newer {
        /// The version of its schema.
        version: i64,
    },
    /// The file cannot be opened.
    Unreachable {
        /// The file.
        path: PathBuf,
        /// What the system says.
        why: String,
    },
    /// There is no such take, tune or player here.
    Missing,
    /// The notes of a take cannot be read.
    Unreadable(TakeId, PackError),
    /// These takes do not make one take; why.
    CannotJoin(&'static str),
    /// A take cannot be parted where it was asked to be.
    CannotSplit,
    /// A form that cannot be; why.
    Form(&'static str),
    /// Anything else.
    Other(String),
}

impl LibraryError {
    /// Whether it is about the file and not about what was asked: trying again later may help.
    #[must_use]
    pub fn may_pass(&self) -> bool {
        matches!(
            self,
            Self::Busy | Self::Full | Self::ReadOnly | Self::Unreachable { .. } | Self::Damaged(_)
        )
    }
}

impl core::fmt::Display for LibraryError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Full => write!(f, "The disk is full: takes are kept in memory for now."),
            Self::ReadOnly => {
                write!(f, "The library's folder cannot be written: takes are kept in memory only.")
            }
            Self::Busy => write!(f, "Another program holds the library; it is tried again."),
            Self::Damaged(what) => write!(f, "The library is damaged: {what}."),
            Self::Newer { version } => write!(
                f,
                "The library was written by a newer Overbar (version {version}) and is left alone."
            ),
            Self::Unreachable { path, why } => {
                write!(f, "The library {} cannot be opened: {why}.", path.display())
            }
            Self::Missing => write!(f, "It is not in the library any more."),
            Self::Unreadable(id, why) => write!(f, "Take {id} cannot be read: {why}."),
            Self::CannotJoin(why) => write!(f, "These takes cannot become one: {why}."),
            Self::CannotSplit => {
                write!(f, "The take cannot be parted there: one part would have no notes.")
            }
            Self::Form(why) => write!(f, "That form cannot be: {why}."),
            Self::Other(what) => write!(f, "The library met an error: {what}."),
        }
    }
}

impl core::error::Error for LibraryError {}

/// SQLite's SQLITE_IOERR_SHMSIZE: there is no room for the index of its journal.
const SHARED_MEMORY_SIZE: i32 = 10 | 19 << 8;

impl From<rusqlite::Error> for LibraryError {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode;
        // What is asked of a library is fixed: where that cannot be understood, a table is not
        // what it was made as.
        if let rusqlite::Error::SqlInputError { msg, .. } = error {
            return Self::Damaged(msg);
        }
        let said = error.to_string();
        let no_room = error.sqlite_error().is_some_and(|e| e.extended_code == SHARED_MEMORY_SIZE);
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::Full,
            _ if no_room => Self::Full,
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Self::ReadOnly,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(
                ErrorCode::DatabaseCorrupt
                | ErrorCode::NotADatabase
                | ErrorCode::TooBig
                | ErrorCode::Unknown,
            ) => Self::Damaged(said),
            _ if error == rusqlite::Error::QueryReturnedNoRows => Self::Missing,
            _ => Self::Other(said),
        }
    }
}

impl From<serde_json::Error> for LibraryError {
    fn from(error: serde_json::Error) -> Self {
        Self::Other(error.to_string())
    }
}
