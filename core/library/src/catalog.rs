//! Tunes, players and results of drills.

use crate::error::LibraryError;
use crate::library::Library;
use crate::stamp::Stamp;
use crate::tune::{Player, Tune, TuneForm};
use rusqlite::{Connection, params};
use serde::{Deserialize, Serialize};

/// The result of one drill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrillRecord {
    /// When it was played.
    pub at: Stamp,
    /// The drill's name.
    pub drill: String,
    /// The result.
    pub result: DrillOutcome,
}

/// How a drill went.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct DrillOutcome {
    /// The tune's name; empty if unknown.
    pub tune: String,
    /// The player's name; empty if unknown.
    pub player: String,
    /// Its goals.
    pub goals: Vec<GoalTally>,
    /// Choruses played to their end.
    pub choruses: usize,
    /// All its choruses were played.
    pub over: bool,
    /// It was passed.
    pub passed: bool,
}

/// How often a goal of a drill was met.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct GoalTally {
    /// The aim, in a sentence.
    pub aim: String,
    /// How often it was met.
    pub met: u32,
    /// How often it was due.
    pub due: u32,
}

/// A tune, a player or the result of a drill, to be written.
#[derive(Debug, Clone, PartialEq)]
pub enum CatalogEntry {
    /// A tune.
    Tune(Tune),
    /// A player.
    Player(Player),
    /// The result of a drill.
    Drill(DrillRecord),
}

impl Library {
    /// Stores an entry. Of two edits of a tune or player the later one stays.
    ///
    /// # Errors
    /// [`LibraryError::InvalidForm`] for a tune with an invalid form.
    pub fn put_entry(&mut self, entry: &CatalogEntry) -> Result<(), LibraryError> {
        match entry {
            CatalogEntry::Tune(tune) => {
                tune.form.as_ref().map_or(Ok(()), TuneForm::check)?;
                let (name, body) = (tune.name.clone(), serde_json::to_string(tune)?);
                let (id, deleted, edited) = (*tune.id.bytes(), tune.deleted, tune.edited.0);
                let row = CatalogRow { id, name, deleted, edited, body };
                put_row(self.connection(), "tune", &row)
            }
            CatalogEntry::Player(player) => {
                let (name, body) = (player.name.clone(), serde_json::to_string(player)?);
                let (id, deleted, edited) = (*player.id.bytes(), player.deleted, player.edited.0);
                let row = CatalogRow { id, name, deleted, edited, body };
                put_row(self.connection(), "player", &row)
            }
            CatalogEntry::Drill(done) => {
                let id = *uuid::Uuid::now_v7().as_bytes();
                let result = serde_json::to_string(&done.result)?;
                let row = DrillRow { id, at: done.at.0, name: done.drill.clone(), result };
                put_drill_row(self.connection(), &row)
            }
        }
    }

    /// The tunes that are not deleted, by name.
    pub fn tunes(&self) -> Result<Vec<Tune>, LibraryError> {
        let mut query = self.connection().prepare_cached(
            "SELECT body FROM tune WHERE deleted = 0 ORDER BY name COLLATE NOCASE, id",
        )?;
        let rows = query.query_map([], |row| row.get::<_, String>(0))?;
        let bodies: Vec<String> = rows.collect::<Result<_, _>>()?;
        // An unreadable tune does not hide the others.
        Ok(bodies.iter().filter_map(|body| serde_json::from_str(body).ok()).collect())
    }

    /// The results of all drills, oldest first.
    pub fn drills(&self) -> Result<Vec<DrillRecord>, LibraryError> {
        let mut query = self
            .connection()
            .prepare_cached("SELECT at, name, result FROM drill ORDER BY at, id")?;
        let rows = query
            .query_map([], |row| Ok((Stamp(row.get(0)?), row.get(1)?, row.get::<_, String>(2)?)))?;
        rows.map(|row| {
            let (at, drill, result) = row?;
            Ok(DrillRecord { at, drill, result: serde_json::from_str(&result)? })
        })
        .collect()
    }
}

/// A row of the tables of tunes and players.
#[derive(Debug)]
pub(crate) struct CatalogRow {
    pub id: [u8; 16],
    name: String,
    deleted: bool,
    edited: i64,
    body: String,
}

/// The valid tunes of a library, deleted ones too.
pub(crate) fn tune_rows(connection: &Connection) -> Result<Vec<CatalogRow>, LibraryError> {
    rows(connection, "tune", |body| {
        let tune = serde_json::from_str::<Tune>(body);
        tune.is_ok_and(|tune| tune.form.is_none_or(|form| form.check().is_ok()))
    })
}

/// The valid players of a library, deleted ones too.
pub(crate) fn player_rows(connection: &Connection) -> Result<Vec<CatalogRow>, LibraryError> {
    rows(connection, "player", |body| serde_json::from_str::<Player>(body).is_ok())
}

fn rows(
    connection: &Connection,
    table: &'static str,
    is_valid: impl Fn(&str) -> bool,
) -> Result<Vec<CatalogRow>, LibraryError> {
    let mut query = connection.prepare(&format!(
        "SELECT id, name, deleted, edited, body FROM {table} WHERE length(id) = 16"
    ))?;
    let rows = query.query_map([], |row| {
        Ok(CatalogRow {
            id: row.get(0)?,
            name: row.get(1)?,
            deleted: row.get(2)?,
            edited: row.get(3)?,
            body: row.get(4)?,
        })
    })?;
    let rows: Vec<CatalogRow> = rows.collect::<Result<_, _>>()?;
    Ok(rows.into_iter().filter(|row| is_valid(&row.body)).collect())
}

/// Writes a row, unless the one that is here was edited later.
pub(crate) fn put_row(
    change: &Connection,
    table: &'static str,
    row: &CatalogRow,
) -> Result<(), LibraryError> {
    change
        .prepare_cached(&format!(
            "INSERT INTO {table} (id, name, deleted, edited, body) VALUES (?, ?, ?, ?, ?) \
             ON CONFLICT (id) DO UPDATE SET name = excluded.name, deleted = excluded.deleted, \
             edited = excluded.edited, body = excluded.body WHERE edited < excluded.edited"
        ))?
        .execute(params![row.id, row.name, row.deleted, row.edited, row.body])?;
    Ok(())
}

/// A row of the table of drills. It never changes.
#[derive(Debug)]
pub(crate) struct DrillRow {
    pub id: [u8; 16],
    at: i64,
    name: String,
    result: String,
}

pub(crate) fn drill_rows(connection: &Connection) -> Result<Vec<DrillRow>, LibraryError> {
    let mut query =
        connection.prepare("SELECT id, at, name, result FROM drill WHERE length(id) = 16")?;
    let rows = query.query_map([], |row| {
        Ok(DrillRow { id: row.get(0)?, at: row.get(1)?, name: row.get(2)?, result: row.get(3)? })
    })?;
    let rows: Vec<DrillRow> = rows.collect::<Result<_, _>>()?;
    let is_valid = |row: &DrillRow| serde_json::from_str::<DrillOutcome>(&row.result).is_ok();
    Ok(rows.into_iter().filter(is_valid).collect())
}

/// Writes a drill result, unless it is here.
pub(crate) fn put_drill_row(change: &Connection, row: &DrillRow) -> Result<(), LibraryError> {
    change.execute(
        "INSERT OR IGNORE INTO drill (id, at, name, result) VALUES (?, ?, ?, ?)",
        params![row.id, row.at, row.name, row.result],
    )?;
    Ok(())
}
