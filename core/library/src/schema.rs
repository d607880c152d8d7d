//! The library's tables, version by version. A released version never changes; later changes are
//! steps of their own.

use crate::error::LibraryError;
use rusqlite::{Connection, Row, TransactionBehavior};

/// Identifies a library of Overbar (`PRAGMA application_id`).
const APPLICATION: i64 = 0x4f56_424c;

/// The statements of each version, from 1.
const STEPS: [&str; 3] = [TAKES, CATALOG, COUNTS];

/// A version this high or higher is a damaged number.
const IMPOSSIBLE: i64 = 1_000;

#[expect(clippy::cast_possible_wrap, reason = "a handful of steps")]
pub const VERSION: i64 = STEPS.len() as i64;

/// Version 1. A take has a narrow row for lists; its labels are stored separately, as JSON. Its
/// notes are chunks (table `piece`) while it is recorded, and packed when it is finished. Ids are 16
/// bytes, dates milliseconds since 1970.
const TAKES: &str = "
CREATE TABLE take (
    id BLOB NOT NULL PRIMARY KEY,
    state INTEGER NOT NULL,
    owner BLOB,
    heartbeat INTEGER NOT NULL,
    began INTEGER NOT NULL,
    origin INTEGER NOT NULL,
    name TEXT NOT NULL,
    star INTEGER NOT NULL,
    deleted INTEGER NOT NULL,
    folded TEXT NOT NULL,
    notes INTEGER NOT NULL,
    outside INTEGER NOT NULL,
    seconds REAL NOT NULL,
    first_bar INTEGER NOT NULL,
    last_bar INTEGER NOT NULL,
    tempo REAL,
    metre TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX take_under_way ON take (owner) WHERE state = 0;
CREATE INDEX take_by_date ON take (deleted, began);
CREATE INDEX take_by_name ON take (deleted, folded, began);
CREATE INDEX take_by_star ON take (deleted, star, began);
CREATE INDEX take_by_seconds ON take (deleted, seconds, began);
CREATE INDEX take_by_notes ON take (deleted, notes, began);
CREATE INDEX take_by_tempo ON take (deleted, tempo, began);
CREATE INDEX take_by_bar ON take (deleted, first_bar, began);
CREATE TABLE label (
    take BLOB NOT NULL PRIMARY KEY REFERENCES take ON DELETE CASCADE,
    body TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE packed (
    take BLOB NOT NULL PRIMARY KEY REFERENCES take ON DELETE CASCADE,
    bytes BLOB NOT NULL
) STRICT;
CREATE TABLE piece (
    take BLOB NOT NULL REFERENCES take ON DELETE CASCADE,
    kind INTEGER NOT NULL,
    number INTEGER NOT NULL,
    bytes BLOB NOT NULL,
    PRIMARY KEY (take, kind, number)
) STRICT, WITHOUT ROWID;
";

/// Version 2: tunes, players, drills; the tune of a take.
const CATALOG: &str = "
ALTER TABLE take ADD COLUMN tune BLOB;
CREATE TABLE tune (
    id BLOB NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    deleted INTEGER NOT NULL,
    edited INTEGER NOT NULL,
    body TEXT NOT NULL
) STRICT;
CREATE TABLE player (
    id BLOB NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    deleted INTEGER NOT NULL,
    edited INTEGER NOT NULL,
    body TEXT NOT NULL
) STRICT;
CREATE TABLE drill (
    id BLOB NOT NULL PRIMARY KEY,
    at INTEGER NOT NULL,
    name TEXT NOT NULL,
    result TEXT NOT NULL
) STRICT;
CREATE INDEX drill_by_date ON drill (name, at);
";

/// Version 3: counts of each take, a cache for progress over thousands of takes. Counts by another
/// version of the analysis are not used.
const COUNTS: &str = "
CREATE TABLE counted (
    take BLOB NOT NULL PRIMARY KEY REFERENCES take ON DELETE CASCADE,
    by TEXT NOT NULL,
    counts TEXT NOT NULL
) STRICT, WITHOUT ROWID;
";

/// Migrates a file of any older version, or an empty one, to the current version.
///
/// # Errors
/// [`LibraryError::Newer`]; the file is then unchanged.
pub fn migrate(connection: &mut Connection) -> Result<(), LibraryError> {
    if version(connection)? == VERSION {
        return Ok(());
    }
    // Another program may be migrating it too, so the version is read again under the lock.
    let change = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let from = version(&change)?;
    for (to, step) in (1..=VERSION).zip(STEPS).filter(|(to, _)| *to > from) {
        change.execute_batch(step)?;
        change.pragma_update(None, "user_version", to)?;
    }
    change.pragma_update(None, "application_id", APPLICATION)?;
    change.commit()?;
    Ok(())
}

/// The version of a file: 0 for an empty one.
///
/// # Errors
/// [`LibraryError::Newer`], or [`LibraryError::Damaged`] for a file of another program.
pub fn version(connection: &Connection) -> Result<i64, LibraryError> {
    let number = |name| connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let version = number("user_version")?;
    let application = number("application_id")?;
    let tables: i64 =
        connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    match (application, tables) {
        (APPLICATION, _) | (0, 0) => {}
        _ => return Err(LibraryError::Damaged("made by another program".to_owned())),
    }
    match version {
        ..0 | IMPOSSIBLE.. => Err(LibraryError::Damaged(format!("invalid version {version}"))),
        newer if newer > VERSION => Err(LibraryError::Newer { version }),
        known => Ok(known),
    }
}

/// Checks that a file has every table and column of the current version.
///
/// # Errors
/// [`LibraryError::Damaged`] names a missing one.
pub fn check(connection: &Connection) -> Result<(), LibraryError> {
    let mut new = Connection::open_in_memory()?;
    migrate(&mut new)?;
    let here = columns(connection)?;
    match columns(&new)?.iter().find(|column| !here.contains(column)) {
        Some((table, column)) => {
            Err(LibraryError::Damaged(format!("{table} has no column {column}")))
        }
        None => Ok(()),
    }
}

/// Pairs of table and column.
fn columns(connection: &Connection) -> Result<Vec<(String, String)>, LibraryError> {
    let mut all = connection.prepare(
        "SELECT t.name, c.name FROM sqlite_schema t, pragma_table_info(t.name) c \
         WHERE t.type = 'table'",
    )?;
    let name = |row: &Row, at| {
        Ok::<_, rusqlite::Error>(String::from_utf8_lossy(row.get_ref(at)?.as_bytes()?).into_owned())
    };
    let all = all.query_map([], |row| Ok((name(row, 0)?, name(row, 1)?)))?;
    Ok(all.collect::<Result<_, _>>()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A file as an Overbar of `version` left it.
    fn of_version(version: i64) -> Connection {
        let old = Connection::open_in_memory().unwrap();
        for (to, step) in (1..=version).zip(STEPS) {
            old.execute_batch(step).unwrap();
            old.pragma_update(None, "user_version", to).unwrap();
            old.pragma_update(None, "application_id", APPLICATION).unwrap();
        }
        old
    }

    fn tables(connection: &Connection) -> Vec<String> {
        let mut all = connection.prepare("SELECT sql FROM sqlite_schema ORDER BY name").unwrap();
        let rows = all.query_map([], |row| row.get::<_, Option<String>>(0)).unwrap();
        rows.filter_map(Result::unwrap).collect()
    }

    #[test]
    fn every_older_version_is_migrated_with_its_takes() {
        let new = of_version(VERSION);
        for version in 0..=VERSION {
            let mut old = of_version(version);
            if version > 0 {
                let row = "INSERT INTO take VALUES \
                           (x'01', 1, NULL, 0, 7, 0, 'kept', 0, 0, '', 1, 0, 1.0, 1, 1, \
                           120.0, '4/4'";
                let row = row.to_owned() + if version > 1 { ", NULL)" } else { ")" };
                old.execute(&row, []).unwrap();
            }
            migrate(&mut old).unwrap();
            assert_eq!(tables(&old), tables(&new), "from version {version}");
            let kept = old.query_row("SELECT name FROM take", [], |row| row.get::<_, String>(0));
            assert_eq!(kept.is_ok(), version > 0);
        }
    }

    #[test]
    fn newer_and_foreign_files_are_reported_and_left() {
        let mut newer = of_version(VERSION);
        newer.pragma_update(None, "user_version", VERSION + 1).unwrap();
        let result = migrate(&mut newer);
        assert!(matches!(result, Err(LibraryError::Newer { version }) if version == VERSION + 1));
        let mut foreign = Connection::open_in_memory().unwrap();
        foreign.execute_batch("CREATE TABLE mail (body TEXT)").unwrap();
        assert!(matches!(migrate(&mut foreign), Err(LibraryError::Damaged(_))));
    }
}
