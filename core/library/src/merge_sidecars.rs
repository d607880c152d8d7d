//! Merges sidecars into the library; see [`mod@crate::location`].
//!
//! A sidecar is left alone while a copy uses it. Its content is removed only once it is safe in the
//! library, so that after a crash the rest is still there, and what is in both is merged by id.
//! Unreadable content stays where it is.

use crate::catalog::{self, CatalogRow, DrillRow};
use crate::error::LibraryError;
use crate::library::Library;
use crate::location;
use crate::table;
use overbar_core::take::TakeId;
use rusqlite::Connection;
use std::collections::{BTreeSet, VecDeque};
use std::fs::File;
use std::path::{Path, PathBuf};

/// Takes merged in one step. Between steps, new notes are written.
const BATCH: usize = 32;

/// The sidecars still to be merged.
#[derive(Debug, Default)]
pub struct Sidecars {
    waiting: VecDeque<PathBuf>,
    open: Option<OpenSidecar>,
    /// How many takes were merged.
    merged: usize,
}

#[derive(Debug)]
struct OpenSidecar {
    library: Library,
    /// Keeps other copies from using the file.
    _claim: File,
    unreadable: BTreeSet<TakeId>,
}

impl Sidecars {
    /// The sidecars beside the library at `path`; none if that is a sidecar.
    pub fn beside(path: &Path) -> Self {
        Self { waiting: location::sidecars(path).into(), ..Self::default() }
    }

    pub fn is_done(&self) -> bool {
        self.waiting.is_empty() && self.open.is_none()
    }

    /// Merges a batch into `library`. Returns sentences for the user.
    ///
    /// # Errors
    /// [`LibraryError`]; nothing is lost, and the rest is merged at the next start.
    pub fn merge_batch(&mut self, library: &mut Library) -> Result<Vec<String>, LibraryError> {
        let mut notices = Vec::new();
        if self.open.is_none() {
            let Some(path) = self.waiting.pop_front() else { return Ok(notices) };
            let Some(claim) = location::claim(&path).filter(|_| location::is_unused(&path)) else {
                return Ok(notices);
            };
            let opened = Library::open(&path)?;
            notices.extend(opened.notices.iter().map(ToString::to_string));
            let unreadable = BTreeSet::new();
            self.open = Some(OpenSidecar { library: opened.library, _claim: claim, unreadable });
        }
        let Some(sidecar) = &mut self.open else { return Ok(notices) };
        match sidecar.merge_batch(library) {
            Ok(Some(takes)) => self.merged += takes,
            Ok(None) => self.open = None,
            Err(why) => {
                self.open = None;
                return Err(why);
            }
        }
        if self.is_done() && self.merged > 0 {
            let takes = core::mem::take(&mut self.merged);
            notices.push(format!(
                "Takes that another copy of the plugin kept in a file of its own are in the library \
                 now: {takes}."
            ));
        }
        Ok(notices)
    }
}

impl OpenSidecar {
    /// Merges a batch of takes and everything else; returns how many takes, or `None` if none were left.
    fn merge_batch(&mut self, library: &mut Library) -> Result<Option<usize>, LibraryError> {
        // Locks the sidecar until the end.
        let change = self.library.change()?;
        let tunes = catalog::tune_rows(&change)?;
        let players = catalog::player_rows(&change)?;
        let drills = catalog::drill_rows(&change)?;
        let mut ids = takes_at_rest(&change)?;
        ids.retain(|id| !self.unreadable.contains(id));
        ids.truncate(BATCH);
        let mut takes = Vec::new();
        for id in &ids {
            match table::stored(&change, *id) {
                Ok(take) if take.open().is_ok() => takes.push(take),
                Ok(_) | Err(LibraryError::Unreadable(..)) => {
                    self.unreadable.insert(*id);
                }
                Err(why) => return Err(why),
            }
        }
        // What is removed from the sidecar must survive a power cut in the library.
        library.connection().pragma_update(None, "synchronous", "FULL")?;
        let merged = put_catalog(library, &tunes, &players, &drills);
        let merged = merged.and_then(|()| library.put_all(&takes));
        library.connection().pragma_update(None, "synchronous", "NORMAL")?;
        merged?;
        let rows = [
            ("take", takes.iter().map(|take| table::key(take.id)).collect::<Vec<_>>()),
            ("tune", tunes.iter().map(|row| row.id).collect()),
            ("player", players.iter().map(|row| row.id).collect()),
            ("drill", drills.iter().map(|row| row.id).collect()),
        ];
        for (table, ids) in rows {
            let mut delete = change.prepare(&format!("DELETE FROM {table} WHERE id = ?"))?;
            for id in ids {
                delete.execute([id])?;
            }
        }
        change.commit()?;
        Ok((!ids.is_empty()).then_some(takes.len()))
    }
}

/// The takes that are not being recorded, oldest first.
fn takes_at_rest(sidecar: &Connection) -> Result<Vec<TakeId>, LibraryError> {
    let mut query = sidecar
        .prepare("SELECT id FROM take WHERE state != 0 AND length(id) = 16 ORDER BY began, id")?;
    let rows = query.query_map([], |row| table::id_in(row, 0))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Writes tunes, players and drills, all or none.
fn put_catalog(
    library: &mut Library,
    tunes: &[CatalogRow],
    players: &[CatalogRow],
    drills: &[DrillRow],
) -> Result<(), LibraryError> {
    let change = library.change()?;
    for (table, rows) in [("tune", tunes), ("player", players)] {
        for row in rows {
            catalog::put_row(&change, table, row)?;
        }
    }
    for row in drills {
        catalog::put_drill_row(&change, row)?;
    }
    change.commit()?;
    Ok(())
}
