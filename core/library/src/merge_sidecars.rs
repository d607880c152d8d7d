//! Brings into the library what further copies in a process kept in files of their own; see
//! [`mod@crate::place`].
//!
//! A file is left alone while a copy has it. What is brought over is removed there once it is safe
//! here: whoever is killed on the way finds the rest where it was, and what is in both is one by its
//! id. What cannot be read stays where it is.

use crate::catalog::{self, Practised, RawRow};
use crate::error::LibraryError;
use crate::library::Library;
use crate::place;
use crate::table;
use overbar_core::take::TakeId;
use rusqlite::{Connection, params};
use std::collections::{BTreeSet, VecDeque};
use std::fs::File;
use std::path::{Path, PathBuf};

/// Takes that are brought over in one change. In between, what is played is written.
const AT_ONCE: usize = 32;

/// The files of further copies, as far as they have not been seen to.
#[derive(Debug, Default)]
pub struct Others {
    waiting: VecDeque<PathBuf>,
    open: Option<Other>,
    /// Takes that came over.
    brought: usize,
}

#[derive(Debug)]
struct Other {
    library: Library,
    /// No copy in this process gets the file as long as this is there.
    _mark: File,
    /// Takes that cannot be read.
    left: BTreeSet<TakeId>,
}

impl Others {
    /// Those beside the library at `path`; none where that is not the first one.
    #[must_use]
    pub fn beside(path: &Path) -> Self {
        Self { waiting: place::others(path).into(), ..Self::default() }
    }

    /// Whether there is nothing left to do.
    #[must_use]
    pub fn is_done(&self) -> bool {
        self.waiting.is_empty() && self.open.is_none()
    }

    /// Brings some over into `library`. Gives what the user should be told.
    ///
    /// # Errors
    /// [`LibraryError`]; nothing is lost, and what is left is tried again at the next start.
    pub fn bring(&mut self, library: &mut Library) -> Result<Vec<String>, LibraryError> {
        let mut told = Vec::new();
        if self.open.is_none() {
            let Some(path) = self.waiting.pop_front() else { return Ok(told) };
            let Some(mark) = place::claim(&path).filter(|_| place::is_unused(&path)) else {
                return Ok(told);
            };
            let opened = Library::open(&path)?;
            told.extend(opened.notices.iter().map(ToString::to_string));
            let left = BTreeSet::new();
            self.open = Some(Other { library: opened.library, _mark: mark, left });
        }
        let Some(other) = &mut self.open else { return Ok(told) };
        match other.some_into(library) {
            Ok(Some(takes)) => self.brought += takes,
            Ok(None) => self.open = None,
            Err(why) => {
                self.open = None;
                return Err(why);
            }
        }
        if self.is_done() && self.brought > 0 {
            let takes = core::mem::take(&mut self.brought);
            told.push(format!(
                "Takes that another copy of the plugin kept in a file of its own are in the library \
                 now: {takes}."
            ));
        }
        Ok(told)
    }
}

impl Other {
    /// Brings some takes over, or all else where there are none; how many takes, and `None` where
    /// nothing is left.
    fn some_into(&mut self, library: &mut Library) -> Result<Option<usize>, LibraryError> {
        // No one else writes there until it is done.
        let change = self.library.change()?;
        let (tunes, players) = (catalog::raw_tunes(&change)?, catalog::raw_players(&change)?);
        let drills = drills(&change)?;
        let ids: Vec<TakeId> =
            takes_at_rest(&change)?.into_iter().filter(|id| !self.left.contains(id)).collect();
        let now = ids.get(..AT_ONCE).unwrap_or(&ids);
        let mut takes = Vec::new();
        for id in now {
            match table::stored(&change, *id) {
                Ok(take) if take.open().is_ok() => takes.push(take),
                Ok(_) | Err(LibraryError::Unreadable(..)) => {
                    self.left.insert(*id);
                }
                Err(why) => return Err(why),
            }
        }
        // What is removed there must be here after a power cut too.
        library.connection().pragma_update(None, "synchronous", "FULL")?;
        let brought = bring(library, &tunes, &players, &drills);
        let brought = brought.and_then(|()| library.put_all(&takes));
        library.connection().pragma_update(None, "synchronous", "NORMAL")?;
        brought?;
        let brought_over = [
            ("take", takes.iter().map(|take| take.id.0.to_be_bytes()).collect::<Vec<_>>()),
            ("tune", tunes.iter().map(|row| row.id).collect()),
            ("player", players.iter().map(|row| row.id).collect()),
            ("drill", drills.iter().map(|row| row.id).collect()),
        ];
        for (table, ids) in brought_over {
            let mut delete = change.prepare(&format!("DELETE FROM {table} WHERE id = ?"))?;
            for id in ids {
                delete.execute([id])?;
            }
        }
        change.commit()?;
        Ok((!now.is_empty()).then_some(takes.len()))
    }
}

/// The takes that no one is writing, the oldest first.
fn takes_at_rest(other: &Connection) -> Result<Vec<TakeId>, LibraryError> {
    let mut found = other
        .prepare("SELECT id FROM take WHERE state != 0 AND length(id) = 16 ORDER BY began, id")?;
    let rows = found.query_map([], |row| row.get::<_, [u8; 16]>(0))?;
    rows.map(|id| Ok(TakeId(u128::from_be_bytes(id?)))).collect()
}

/// The result of a drill. It never changes: one that is in both is the same.
struct Drill {
    id: [u8; 16],
    at: i64,
    name: String,
    result: String,
}

fn drills(other: &Connection) -> Result<Vec<Drill>, LibraryError> {
    let mut found =
        other.prepare("SELECT id, at, name, result FROM drill WHERE length(id) = 16")?;
    let rows = found.query_map([], |row| {
        Ok(Drill { id: row.get(0)?, at: row.get(1)?, name: row.get(2)?, result: row.get(3)? })
    })?;
    let drills: Vec<Drill> = rows.collect::<Result<_, _>>()?;
    let readable = |drill: &Drill| serde_json::from_str::<Practised>(&drill.result).is_ok();
    Ok(drills.into_iter().filter(readable).collect())
}

/// Writes what belongs to takes, all or none.
fn bring(
    library: &mut Library,
    tunes: &[RawRow],
    players: &[RawRow],
    drills: &[Drill],
) -> Result<(), LibraryError> {
    let change = library.change()?;
    for (table, rows) in [("tune", tunes), ("player", players)] {
        for row in rows {
            catalog::put_raw(&change, table, row)?;
        }
    }
    for Drill { id, at, name, result } in drills {
        change.execute(
            "INSERT OR IGNORE INTO drill (id, at, name, result) VALUES (?, ?, ?, ?)",
            params![id, at, name, result],
        )?;
    }
    change.commit()?;
    Ok(())
}
