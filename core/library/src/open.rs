//! Opens a library: recovers takes that were cut off, and replaces a damaged file.

use crate::error::LibraryError;
use crate::library::Library;
use crate::stamp::Stamp;
use crate::{schema, writer_lock};
use rusqlite::{Connection, OpenFlags};
use std::fs::{File, create_dir_all, rename};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How long a writer waits for another one before it reports [`LibraryError::Busy`].
const BUSY_TIMEOUT: Duration = Duration::from_secs(2);

/// An opened library.
#[derive(Debug)]
pub struct OpenedLibrary {
    /// The library.
    pub library: Library,
    /// What the user should know.
    pub notices: Vec<Notice>,
}

/// What was found when a library was opened.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Notice {
    /// The file was damaged. It was renamed, and a new one created.
    SetAside {
        /// Its new name.
        to: PathBuf,
        /// What is wrong with it.
        why: String,
    },
    /// Takes whose host ended during the take were recovered.
    Recovered {
        /// How many.
        takes: usize,
    },
}

impl core::fmt::Display for Notice {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::SetAside { to, why } => write!(
                f,
                "The library was damaged ({why}). It was kept as {} and a new one was created.",
                to.display()
            ),
            Self::Recovered { takes: 1 } => {
                write!(f, "A take that was cut off when its host ended was recovered.")
            }
            Self::Recovered { takes } => {
                write!(f, "{takes} takes that were cut off when their host ended were recovered.")
            }
        }
    }
}

impl Library {
    /// Opens the library at `path`, or creates it. Missing folders are created.
    ///
    /// # Errors
    /// [`LibraryError`]. A damaged file is not an error: it is replaced, with a notice.
    pub fn open(path: &Path) -> Result<OpenedLibrary, LibraryError> {
        if let Some(folder) = path.parent() {
            create_dir_all(folder).map_err(|why| unreachable(path, &why))?;
        }
        let mut notices = Vec::new();
        let opened = connect(path).map(|connection| Self::new(connection, path.to_owned()));
        let (library, recovered) = match opened.and_then(Self::recovered) {
            Err(LibraryError::Damaged(_)) => {
                let connection = replace_damaged(path, &mut notices)?;
                Self::new(connection, path.to_owned()).recovered()?
            }
            opened => opened?,
        };
        if recovered > 0 {
            notices.push(Notice::Recovered { takes: recovered });
        }
        writer_lock::sweep(path);
        Ok(OpenedLibrary { library, notices })
    }

    fn recovered(mut self) -> Result<(Self, usize), LibraryError> {
        let takes = self.recover_takes(Stamp::now())?;
        Ok((self, takes))
    }

    /// After [`LibraryError::Damaged`]: replaces the file, unless another program has done so.
    ///
    /// # Errors
    /// As [`Library::open`].
    pub fn replace_damaged(self) -> Result<OpenedLibrary, LibraryError> {
        let path = self.path().to_owned();
        drop(self);
        let mut notices = Vec::new();
        let connection = replace_damaged(&path, &mut notices)?;
        Ok(OpenedLibrary { library: Self::new(connection, path), notices })
    }
}

fn connect(path: &Path) -> Result<Connection, LibraryError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
        | OpenFlags::SQLITE_OPEN_CREATE
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut connection =
        Connection::open_with_flags(path, flags).map_err(|why| match LibraryError::from(why) {
            LibraryError::Other(why) => unreachable(path, &why),
            why => why,
        })?;
    connection.busy_timeout(BUSY_TIMEOUT)?;
    // Before anything is written: another program's file stays unchanged.
    schema::version(&connection)?;
    connection.pragma_update(None, "journal_mode", "WAL")?;
    // A power cut may take the last moments; a crash of the host takes nothing.
    connection.pragma_update(None, "synchronous", "NORMAL")?;
    connection.pragma_update(None, "foreign_keys", true)?;
    // Negative means kibibytes.
    connection.pragma_update(None, "cache_size", -512)?;
    connection.pragma_update(None, "journal_size_limit", 4 << 20)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "cell_size_check", true)?;
    schema::migrate(&mut connection)?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(connection)
}

/// Renames the damaged file and creates a new one. If several programs find the damage at once,
/// one of them does it.
fn replace_damaged(path: &Path, notices: &mut Vec<Notice>) -> Result<Connection, LibraryError> {
    let lock = File::create(beside(path, "-repair")).map_err(|why| unreachable(path, &why))?;
    lock.lock().map_err(|why| unreachable(path, &why))?;
    match connect(path).and_then(check) {
        Err(LibraryError::Damaged(why)) => {
            let to = set_aside(path)?;
            notices.push(Notice::SetAside { to, why });
            connect(path)
        }
        connection => connection,
    }
}

/// Checks every page, which is slow for a large file.
fn check(connection: Connection) -> Result<Connection, LibraryError> {
    schema::check(&connection)?;
    let found: String = connection.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
    if found == "ok" { Ok(connection) } else { Err(LibraryError::Damaged(found)) }
}

/// Renames a damaged file and its journal; returns the new path.
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
