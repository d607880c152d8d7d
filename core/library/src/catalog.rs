//! What belongs to takes: tunes, players, and results of drills.

use crate::error::LibraryError;
use crate::library::Library;
use crate::stamp::Stamp;
use crate::tune::{Form, Player, Tune};
use rusqlite::{Connection, params};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

/// The result of one drill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrillResult {
    /// When it was done.
    pub at: Stamp,
    /// Which drill, by its name.
    pub drill: String,
    /// What came of it.
    pub result: Practised,
}

/// What came of a drill.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Practised {
    /// The tune's name; empty where it is not known.
    pub tune: String,
    /// The player's name; empty where it is not known.
    pub player: String,
    /// Its goals.
    pub goals: Vec<GoalMet>,
    /// Choruses heard to their end.
    pub choruses: usize,
    /// All that it asks for was played.
    pub over: bool,
    /// And passed.
    pub passed: bool,
}

/// A goal of a drill, and what was met of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct GoalMet {
    /// The aim, in a sentence.
    pub aim: String,
    /// How much was met.
    pub met: u32,
    /// Of how much that was due.
    pub due: u32,
}

/// Something that belongs to takes, to be written.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A tune.
    Tune(Tune),
    /// A player.
    Player(Player),
    /// The result of a drill.
    Drill(DrillResult),
}

impl Library {
    /// Keeps what it is.
    ///
    /// # Errors
    /// As [`Library::put_tune`].
    pub fn put_entry(&mut self, entry: &Entry) -> Result<(), LibraryError> {
        match entry {
            Entry::Tune(tune) => self.put_tune(tune),
            Entry::Player(player) => self.put_player(player),
            Entry::Drill(done) => self.put_drill(done),
        }
    }

    /// Keeps a tune. Of two that were edited apart the later one stays.
    ///
    /// # Errors
    /// [`LibraryError::Form`] for a form that cannot be.
    pub fn put_tune(&mut self, tune: &Tune) -> Result<(), LibraryError> {
        tune.form.as_ref().map_or(Ok(()), Form::check)?;
        self.put_row("tune", tune.id.bytes(), &tune.name, tune.deleted, tune.edited, tune)
    }

    /// The tunes that are not deleted, by name.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn tunes(&self) -> Result<Vec<Tune>, LibraryError> {
        entries(self.connection(), "tune")
    }

    /// Keeps a player. Of two that were edited apart the later one stays.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn put_player(&mut self, player: &Player) -> Result<(), LibraryError> {
        let (name, deleted) = (&player.name, player.deleted);
        self.put_row("player", player.id.bytes(), name, deleted, player.edited, player)
    }

    /// The players that are not deleted, by name.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn players(&self) -> Result<Vec<Player>, LibraryError> {
        entries(self.connection(), "player")
    }

    /// Keeps the result of a drill.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn put_drill(&mut self, done: &DrillResult) -> Result<(), LibraryError> {
        let id = uuid::Uuid::now_v7();
        let result = serde_json::to_string(&done.result)?;
        self.connection().execute(
            "INSERT INTO drill (id, at, name, result) VALUES (?, ?, ?, ?)",
            params![id.as_bytes(), done.at.0, done.drill, result],
        )?;
        Ok(())
    }

    /// The results of a drill, the oldest first.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn drills(&self, drill: &str) -> Result<Vec<DrillResult>, LibraryError> {
        self.drills_where("name = ?", [drill])
    }

    /// The results of all drills, the oldest first.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn all_drills(&self) -> Result<Vec<DrillResult>, LibraryError> {
        self.drills_where("TRUE", [])
    }

    fn drills_where(
        &self,
        which: &str,
        values: impl rusqlite::Params,
    ) -> Result<Vec<DrillResult>, LibraryError> {
        let select = format!("SELECT at, name, result FROM drill WHERE {which} ORDER BY at, id");
        let mut found = self.connection().prepare_cached(&select)?;
        let rows = found.query_map(values, |row| {
            Ok((Stamp(row.get(0)?), row.get(1)?, row.get::<_, String>(2)?))
        })?;
        rows.map(|row| {
            let (at, drill, result) = row?;
            Ok(DrillResult { at, drill, result: serde_json::from_str(&result)? })
        })
        .collect()
    }

    fn put_row(
        &mut self,
        table: &'static str,
        id: &[u8; 16],
        name: &str,
        deleted: bool,
        edited: Stamp,
        entry: &impl Serialize,
    ) -> Result<(), LibraryError> {
        let body = serde_json::to_string(entry)?;
        let row = RawRow { id: *id, name: name.to_owned(), deleted, edited: edited.0, body };
        put_raw(self.connection(), table, &row)
    }
}

fn entries<T: DeserializeOwned>(
    connection: &Connection,
    table: &'static str,
) -> Result<Vec<T>, LibraryError> {
    let mut found = connection.prepare_cached(&format!(
        "SELECT body FROM {table} WHERE deleted = 0 ORDER BY name COLLATE NOCASE, id"
    ))?;
    let rows = found.query_map([], |row| row.get::<_, String>(0))?;
    let bodies: Vec<String> = rows.collect::<Result<_, _>>()?;
    // One that cannot be read is no reason not to see the others.
    Ok(bodies.iter().filter_map(|body| serde_json::from_str(body).ok()).collect())
}

/// A row of tunes or players as it is kept, to be copied from library to library.
#[derive(Debug)]
pub(crate) struct RawRow {
    pub id: [u8; 16],
    name: String,
    deleted: bool,
    edited: i64,
    body: String,
}

/// The tunes of a library that can be read here, also those that are deleted.
pub(crate) fn raw_tunes(connection: &Connection) -> Result<Vec<RawRow>, LibraryError> {
    let sound = |tune: &Tune| tune.form.as_ref().is_none_or(|form| form.check().is_ok());
    raw_rows(connection, "tune", |body| serde_json::from_str(body).is_ok_and(|tune| sound(&tune)))
}

/// The same of players.
pub(crate) fn raw_players(connection: &Connection) -> Result<Vec<RawRow>, LibraryError> {
    raw_rows(connection, "player", |body| serde_json::from_str::<Player>(body).is_ok())
}

fn raw_rows(
    connection: &Connection,
    table: &'static str,
    is_sound: impl Fn(&str) -> bool,
) -> Result<Vec<RawRow>, LibraryError> {
    let mut found = connection.prepare(&format!(
        "SELECT id, name, deleted, edited, body FROM {table} \
             WHERE length(id) = 16"
    ))?;
    let rows = found.query_map([], |row| {
        Ok(RawRow {
            id: row.get(0)?,
            name: row.get(1)?,
            deleted: row.get(2)?,
            edited: row.get(3)?,
            body: row.get(4)?,
        })
    })?;
    let rows: Vec<RawRow> = rows.collect::<Result<_, _>>()?;
    Ok(rows.into_iter().filter(|row| is_sound(&row.body)).collect())
}

/// Writes a row. Of two that were edited apart the later one stays.
pub(crate) fn put_raw(
    change: &Connection,
    table: &'static str,
    row: &RawRow,
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
