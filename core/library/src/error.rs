//! The library's errors. Each message is a sentence for the user; nothing in memory is lost.

use crate::packed::PackError;
use overbar_core::take::TakeId;
use overbar_core::take::grid_edit::GridEditError;
use std::path::PathBuf;

/// Why an operation on the library failed.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LibraryError {
    /// The disk, or the user's quota, is full.
    #[error("The disk is full: takes stay in memory for now.")]
    Full,
    /// The file or its folder is read-only.
    #[error("The library's folder is read-only: takes stay in memory only.")]
    ReadOnly,
    /// Another program kept the library locked for too long.
    #[error("Another program is using the library. Retrying.")]
    Busy,
    /// The file is damaged, or not a library.
    #[error("The library is damaged: {0}.")]
    Damaged(String),
    /// A newer Overbar wrote the file. It is left unchanged.
    #[error(
        "The library was made by a newer version of Overbar (version {version}) and is left unchanged."
    )]
    Newer {
        /// The version of its schema.
        version: i64,
    },
    /// The file cannot be opened.
    #[error("Couldn't open the library {}: {why}.", path.display())]
    Unreachable {
        /// The file.
        path: PathBuf,
        /// The system's message.
        why: String,
    },
    /// The library has no such take.
    #[error("This take is no longer in the library.")]
    Missing,
    /// The notes of a take cannot be read.
    #[error("Couldn't read take {0}: {1}.")]
    Unreadable(TakeId, PackError),
    /// These takes cannot be merged; the reason.
    #[error("These takes can't be merged: {0}.")]
    CannotMerge(&'static str),
    /// A take cannot be split here.
    #[error("Can't split the take there: one part would have no notes.")]
    CannotSplit,
    /// This change of a take's beat grid is impossible.
    #[error("Couldn't change the beat grid: {0}.")]
    Grid(#[from] GridEditError),
    /// A tune's form is invalid; the reason.
    #[error("Invalid form: {0}.")]
    InvalidForm(&'static str),
    /// A sentence for the user from elsewhere.
    #[error("{0}")]
    Message(String),
    /// Any other error.
    #[error("Library error: {0}.")]
    Other(String),
}

impl LibraryError {
    /// Whether trying again later may help: the file is at fault, not the request.
    pub fn may_pass(&self) -> bool {
        matches!(
            self,
            Self::Busy | Self::Full | Self::ReadOnly | Self::Unreachable { .. } | Self::Damaged(_)
        )
    }
}

/// SQLite's SQLITE_IOERR_SHMSIZE: there is no room for the index of its journal.
const SHARED_MEMORY_SIZE: i32 = 10 | 19 << 8;

impl From<rusqlite::Error> for LibraryError {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode;
        // All statements are fixed, so one that SQLite rejects means a damaged table.
        if let rusqlite::Error::SqlInputError { msg, .. } = error {
            return Self::Damaged(msg);
        }
        let text = error.to_string();
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
            ) => Self::Damaged(text),
            _ if error == rusqlite::Error::QueryReturnedNoRows => Self::Missing,
            _ => Self::Other(text),
        }
    }
}

impl From<serde_json::Error> for LibraryError {
    fn from(error: serde_json::Error) -> Self {
        Self::Other(error.to_string())
    }
}
