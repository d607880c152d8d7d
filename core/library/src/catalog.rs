//! What belongs to takes: tunes, players, and results of drills.

use crate::error::LibraryError;
use crate::library::Library;
use crate::stamp::Stamp;
use crate::tune::{Player, Tune};
use rusqlite::{Connection, OptionalExtension, params};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// The result of one drill.
#[derive(Debug, Clone, PartialEq)]
pub struct DrillResult {
    /// When it was done.
    pub at: Stamp,
    /// Which drill, by the name it has in this program.
    pub drill: String,
    /// What came of it: whatever that drill writes down.
    pub result: serde_json::Value,
}

impl Library {
    /// Keeps a tune. Of two that were edited apart the later one stays.
    ///
    /// # Errors
    /// [`LibraryError::Form`] for a form that cannot be.
    pub fn put_tune(&mut self, tune: &Tune) -> Result<(), LibraryError> {
        tune.form.check()?;
        self.put_entry("tune", tune.id.bytes(), &tune.name, tune.deleted, tune.edited, tune)
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
        self.put_entry("player", player.id.bytes(), name, deleted, player.edited, player)
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
        let mut found = self
            .connection()
            .prepare_cached("SELECT at, name, result FROM drill WHERE name = ? ORDER BY at, id")?;
        let rows = found.query_map([drill], |row| {
            Ok((Stamp(row.get(0)?), row.get(1)?, row.get::<_, String>(2)?))
        })?;
        rows.map(|row| {
            let (at, drill, result) = row?;
            Ok(DrillResult { at, drill, result: serde_json::from_str(&result)? })
        })
        .collect()
    }

    fn put_entry(
        &mut self,
        table: &'static str,
        id: &[u8; 16],
        name: &str,
        deleted: bool,
        edited: Stamp,
        entry: &impl Serialize,
    ) -> Result<(), LibraryError> {
        let change = self.change()?;
        let known: Option<i64> = change
            .prepare_cached(&format!("SELECT edited FROM {table} WHERE id = ?"))?
            .query_row([id], |row| row.get(0))
            .optional()?;
        if known.is_none_or(|known| known < edited.0) {
            change
                .prepare_cached(&format!(
                    "INSERT OR REPLACE INTO {table} (id, name, deleted, edited, body) \
                     VALUES (?, ?, ?, ?, ?)"
                ))?
                .execute(params![id, name, deleted, edited.0, serde_json::to_string(entry)?])?;
        }
        change.commit()?;
        Ok(())
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
    rows.map(|row| Ok(serde_json::from_str(&row?)?)).collect()
}
