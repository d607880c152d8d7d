//! Opening a library: setting a damaged one aside, seeing what was left behind.

use crate::error::LibraryError;
use crate::library::Library;
use crate::stamp::Stamp;
use crate::{schema, writer_lock};
use rusqlite::{Connection, OpenFlags};
use std::fs::{File, create_dir_all, rename};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How long a writer waits for another one before it says that the library is busy.
const PATIENCE: Duration = Duration::from_secs(2);

/// A library that was opened.
#[derive(Debug)]
pub struct Opened {
    /// It.
    pub library: Library,
    /// What the user should be told.
    pub notices: Vec<Notice>,
}

/// What came to light when a library was opened.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Notice {
    /// The file was damaged; it was renamed, and a new one begun.
    SetAside {
        /// Where the damaged file is now.
        to: PathBuf,
        /// What is wrong with it.
        why: String,
    },
    /// Takes whose host ended in the middle of them; they are kept and marked.
    LeftBehind {
        /// How many.
        takes: usize,
    },
}

impl core::fmt::Display for Notice {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::SetAside { to, why } => write!(
                f,
                "The library was damaged ({why}). It was kept as {} and a new one begun.",
                to.display()
            ),
            Self::LeftBehind { takes: 1 } => {
                write!(f, "A take that was cut off when its host ended was recovered.")
            }
            Self::LeftBehind { takes } => {
                write!(f, "{takes} takes that were cut off when their host ended were recovered.")
            }
        }
    }
}

impl Library {
    /// Opens the library at `path`, or begins one there. Folders are made as needed.
    ///
    /// # Errors
    /// [`LibraryError`]. A damaged file is no error: it is set aside and told of.
    pub fn open(path: &Path) -> Result<Opened, LibraryError> {
        if let Some(folder) = path.parent() {
            create_dir_all(folder).map_err(|why| unreachable(path, &why))?;
        }
        let mut notices = Vec::new();
        let opened = connect(path).map(|connection| Self::of(connection, path.to_owned()));
        let (library, left) = match opened.and_then(Self::with_left_behind) {
            Err(LibraryError::Damaged(_)) => {
                let connection = begin_anew(path, &mut notices)?;
                Self::of(connection, path.to_owned()).with_left_behind()?
            }
            opened => opened?,
        };
        if left > 0 {
            notices.push(Notice::LeftBehind { takes: left });
        }
        writer_lock::sweep(path);
        Ok(Opened { library, notices })
    }

    fn with_left_behind(mut self) -> Result<(Self, usize), LibraryError> {
        let left = self.mark_left_behind(Stamp::now())?;
        Ok((self, left))
    }

    /// After [`LibraryError::Damaged`]: sets the file aside and begins a new one; unless it is
    /// sound, because another program has done so already.
    ///
    /// # Errors
    /// As [`Library::open`].
    pub fn begin_anew(self) -> Result<Opened, LibraryError> {
        let path = self.path().to_owned();
        drop(self);
        let mut notices = Vec::new();
        let connection = begin_anew(&path, &mut notices)?;
        Ok(Opened { library: Self::of(connection, path), notices })
    }
}

fn connect(path: &Path) -> Result<Connection, LibraryError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
        | OpenFlags::SQLITE_OPEN_CREATE
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut connection =
        Connection::open_with_flags(path, flags).map_err(|why| match LibraryError::from(why) {
            LibraryError::Other(why) => unreachable(path, &why),
            told => told,
        })?;
    connection.busy_timeout(PATIENCE)?;
    // Before anything is written: a file of someone else's stays as it is.
    schema::version(&connection)?;
    connection.pragma_update(None, "journal_mode", "WAL")?;
    // A power cut may take the last moments; a crash of the host takes nothing.
    connection.pragma_update(None, "synchronous", "NORMAL")?;
    connection.pragma_update(None, "foreign_keys", true)?;
    // In kibibytes when negative: the memory of an instance is small.
    connection.pragma_update(None, "cache_size", -512)?;
    connection.pragma_update(None, "journal_size_limit", 4 << 20)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "cell_size_check", true)?;
    schema::bring_up_to_date(&mut connection)?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(connection)
}

/// Sets the damaged file aside and begins a new one. Of several that find the damage at once,
/// one does it.
fn begin_anew(path: &Path, notices: &mut Vec<Notice>) -> Result<Connection, LibraryError> {
    let lock = File::create(beside(path, "-repair")).map_err(|why| unreachable(path, &why))?;
    lock.lock().map_err(|why| unreachable(path, &why))?;
    match connect(path).and_then(sound) {
        Err(LibraryError::Damaged(why)) => {
            let to = set_aside(path)?;
            notices.push(Notice::SetAside { to, why });
            connect(path)
        }
        connection => connection,
    }
}

/// Looks at every page, which takes long for a large file.
fn sound(connection: Connection) -> Result<Connection, LibraryError> {
    schema::has_all(&connection)?;
    let found: String = connection.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
    if found == "ok" { Ok(connection) } else { Err(LibraryError::Damaged(found)) }
}

/// Renames a damaged file, with its journal, so that a new one can be begun; where to.
fn set_aside(path: &Path) -> Result<PathBuf, LibraryError> {
    let date: String = Connection::open_in_memory()?.query_row(
        "SELECT strftime('%Y-%m-%d-%H%M%S', 'now')",
        [],
        |row| row.get(0),
    )?;
    let name = |number: u32| match number {
        0 => format!("-damaged-{date}"),
        _ => format!("-damaged-{date}-{number}"),
    };
    let to = (0..).map(|number| beside(path, &name(number))).find(|to| !to.exists());
    let to = to.ok_or(LibraryError::Missing)?;
    rename(path, &to).map_err(|why| unreachable(path, &why))?;
    for journal in ["-wal", "-shm"] {
        let from = beside(path, journal);
        if from.exists() {
            rename(&from, beside(&to, journal)).map_err(|why| unreachable(&from, &why))?;
        }
    }
    Ok(to)
}

fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(ending);
    path.with_file_name(name)
}

fn unreachable(path: &Path, why: &dyn core::fmt::Display) -> LibraryError {
    LibraryError::Unreachable { path: path.to_owned(), why: why.to_string() }
}
