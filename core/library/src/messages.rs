//! The messages between the recorder and its writer thread.

use crate::catalog::CatalogEntry;
use crate::delta::Delta;
use crate::labels::Labels;
use crate::merge::StoredTake;
use crate::take_header::TakeHeader;
use crate::tune::Tune;
use overbar_core::take::TakeId;
use std::collections::HashSet;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// From the recorder to the writer.
#[derive(Debug)]
pub(crate) enum Message {
    /// A take has grown or finished.
    Grown {
        header: TakeHeader,
        delta: Option<Box<Delta>>,
        finished: bool,
    },
    /// Takes of a project, to be merged into the library.
    Put(Vec<StoredTake>),
    /// A duplicate take, to be removed.
    Discard(TakeId),
    /// A tune, a player or the result of a drill.
    Enter(Box<CatalogEntry>),
    Label(TakeId, Box<Labels>),
}

/// Whether takes reach the disk.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Health {
    /// They do, or there is nothing to write yet.
    #[default]
    Well,
    /// They are kept in memory and writing is retried; the reason, as a sentence for the user.
    Behind(String),
}

/// From the writer to the recorder, shared by both.
#[derive(Debug, Default)]
pub(crate) struct WriterStatus {
    /// Whether takes reach the disk.
    pub health: Health,
    /// Sentences for the user.
    pub notices: Vec<String>,
    /// The tunes in the library.
    pub tunes: Vec<Tune>,
    /// Takes that must be written again from their start.
    pub rewrite: HashSet<TakeId>,
    /// All takes must be: the file is a new one.
    pub rewrite_all: bool,
}

/// Locks the status. A panic under the lock leaves it valid: every change is a single assignment.
pub(crate) fn lock(status: &Mutex<WriterStatus>) -> MutexGuard<'_, WriterStatus> {
    status.lock().unwrap_or_else(PoisonError::into_inner)
}
