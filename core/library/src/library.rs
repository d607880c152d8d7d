//! Takes in the library: written as they grow, finished, loaded, merged in whole.

use crate::delta::Delta;
use crate::error::LibraryError;
use crate::labels::Labels;
use crate::merge::{StoredTake, merge};
use crate::packed::PackError;
use crate::stamp::Stamp;
use crate::summary::Summary;
use crate::table;
use crate::take_header::{TakeHeader, TakeState};
use crate::writer_lock::{WriterLock, is_gone};
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use rusqlite::{Connection, Transaction, TransactionBehavior, params};
use std::path::{Path, PathBuf};

/// An open library. Each thread opens its own; several programs may have the same file open. Every
/// change is one short transaction.
#[derive(Debug)]
pub struct Library {
    connection: Connection,
    path: PathBuf,
}

impl Library {
    pub(crate) fn new(connection: Connection, path: PathBuf) -> Self {
        Self { connection, path }
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    pub(crate) fn connection(&self) -> &Connection {
        &self.connection
    }

    /// Starts a transaction that no other writer can interrupt.
    pub(crate) fn change(&mut self) -> Result<Transaction<'_>, LibraryError> {
        Ok(self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?)
    }

    /// Executes `statements` in a transaction: all of them or none.
    fn transact(
        &mut self,
        statements: impl FnOnce(&Connection) -> Result<(), LibraryError>,
    ) -> Result<(), LibraryError> {
        let change = self.change()?;
        statements(&change)?;
        Ok(change.commit()?)
    }

    /// Lets the file grow by at most this many bytes, as on a full disk.
    pub fn limit_growth(&self, bytes: u64) -> Result<(), LibraryError> {
        let number =
            |name| self.connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
        let more = i64::try_from(bytes).unwrap_or(i64::MAX) / number("page_size")?.max(1);
        let max_pages = number("page_count")?.saturating_add(more);
        // The pragma returns the limit it set.
        self.connection.pragma_update_and_check(None, "max_page_count", max_pages, |_| Ok(()))?;
        Ok(())
    }

    /// Starts a take that the owner of `lock` writes. A take that is here already, because its
    /// writer seemed to be gone, is recording again and must be appended from its start.
    pub fn begin_take(
        &mut self,
        header: &TakeHeader,
        lock: &WriterLock,
    ) -> Result<(), LibraryError> {
        self.transact(|change| {
            table::insert(change, header, TakeState::Recording)?;
            table::claim(change, header.id, lock)
        })
    }

    /// Writes the changes of a take. Chunks with the same number are replaced.
    ///
    /// # Errors
    /// [`LibraryError::Missing`] unless the take is being recorded by the owner of `lock`. It must
    /// then be started again and appended from its start; nothing is written.
    pub fn append(
        &mut self,
        id: TakeId,
        delta: &Delta,
        lock: &WriterLock,
    ) -> Result<(), LibraryError> {
        self.transact(|change| {
            table::touch(change, id, lock)?;
            table::put_summary(change, id, &delta.summary)?;
            delta.chunks.iter().try_for_each(|chunk| table::put_chunk(change, id, chunk))?;
            let mut counts = delta.counts.into_iter();
            counts.try_for_each(|(kind, count)| table::truncate_chunks(change, id, kind, count))
        })
    }

    /// Marks the takes of this writer as still being recorded.
    pub fn heartbeat(&mut self, lock: &WriterLock) -> Result<(), LibraryError> {
        self.connection.execute(
            "UPDATE take SET heartbeat = ? WHERE owner = ? AND state = 0",
            params![Stamp::now().0, lock.token],
        )?;
        Ok(())
    }

    /// Finishes a take: packs its chunks, unless it has more than [`crate::packed::MAX_NOTES`].
    ///
    /// # Errors
    /// [`LibraryError`]; the take is then unchanged.
    pub fn finish_take(&mut self, id: TakeId) -> Result<(), LibraryError> {
        self.transact(|change| table::settle(change, id, TakeState::Finished))
    }

    /// Removes a take that this writer is recording and that turned out to be a duplicate: another take
    /// has all its notes.
    pub fn discard(&mut self, id: TakeId, lock: &WriterLock) -> Result<(), LibraryError> {
        self.connection.execute(
            "DELETE FROM take WHERE id = ? AND owner = ? AND state = 0",
            params![table::key(id), lock.token],
        )?;
        Ok(())
    }

    /// Changes the labels of a take. A new beat grid also updates the bars and tempo in its summary.
    ///
    /// # Errors
    /// [`LibraryError::Missing`] if there is no such take.
    pub fn edit_labels(
        &mut self,
        id: TakeId,
        edit: impl FnOnce(Labels) -> Labels,
    ) -> Result<(), LibraryError> {
        self.transact(|change| {
            let before = table::labels(change, id)?;
            let grid = before.grid.clone();
            let labels = edit(before);
            table::put_labels(change, id, &labels)?;
            if labels.grid == grid || table::state_of(change, id)? == Some(TakeState::Recording) {
                return Ok(());
            }
            match table::load(change, id) {
                Ok(notes) => table::put_summary(change, id, &Summary::of(&notes)),
                Err(LibraryError::Unreadable(..)) => Ok(()),
                Err(why) => Err(why),
            }
        })
    }

    /// Marks takes whose writer is gone as recovered; returns how many.
    pub(crate) fn recover_takes(&mut self, now: Stamp) -> Result<usize, LibraryError> {
        let path = self.path.clone();
        let mut recording =
            self.connection.prepare("SELECT id, owner, heartbeat FROM take WHERE state = 0")?;
        // A damaged row is skipped, so that the library still opens.
        let rows = recording.query_map([], |row| {
            let token = row.get::<_, Option<[u8; 16]>>(1).unwrap_or(None);
            Ok(row.get(0).ok().zip(row.get(2).ok()).map(|(id, heartbeat)| (id, token, heartbeat)))
        })?;
        let mut cut_off = Vec::new();
        for row in rows {
            let Some((id, token, heartbeat)): Option<([u8; 16], _, i64)> = row? else { continue };
            if token.is_none_or(|token| is_gone(&path, &token, Stamp(heartbeat), now)) {
                cut_off.push(TakeId(u128::from_be_bytes(id)));
            }
        }
        drop(recording);
        let mut recovered = 0;
        for id in cut_off {
            let change = self.change()?;
            // Another program that opened the library may have been first.
            if table::state_of(&change, id)? == Some(TakeState::Recording) {
                match table::settle(&change, id, TakeState::Recovered) {
                    Err(LibraryError::Unreadable(..)) => {
                        table::put_state(&change, id, TakeState::Recovered)?;
                    }
                    settled => settled?,
                }
                change.commit()?;
                recovered += 1;
            }
        }
        Ok(recovered)
    }

    /// The notes of a take in any state, deleted or not, on its beat grid.
    ///
    /// # Errors
    /// [`LibraryError::Missing`] or [`LibraryError::Unreadable`].
    pub fn load(&self, id: TakeId) -> Result<Performance, LibraryError> {
        table::load(&self.connection, id)
    }

    /// A take with its labels, packed.
    ///
    /// # Errors
    /// As [`Library::load`].
    pub fn stored(&self, id: TakeId) -> Result<StoredTake, LibraryError> {
        table::stored(&self.connection, id)
    }

    /// Merges a take into the library by the rules of [`mod@crate::merge`]. It replaces a damaged
    /// copy. Of a take that is being recorded here only the labels are merged.
    ///
    /// # Errors
    /// [`LibraryError::Unreadable`] if its notes cannot be read, or those here are from a newer
    /// Overbar; nothing is then changed.
    pub fn put(&mut self, take: &StoredTake) -> Result<(), LibraryError> {
        self.put_all(core::slice::from_ref(take))
    }

    /// [`Library::put`] for several takes, all or none.
    ///
    /// # Errors
    /// As [`Library::put`].
    pub fn put_all(&mut self, takes: &[StoredTake]) -> Result<(), LibraryError> {
        self.transact(|change| takes.iter().try_for_each(|take| put(change, take)))
    }
}

fn put(change: &Connection, new: &StoredTake) -> Result<(), LibraryError> {
    let mut new = new.clone();
    let here = table::stored(change, new.id).and_then(|here| {
        if here.packed != new.packed {
            here.open()?;
        }
        Ok(here)
    });
    let here = match here {
        Err(LibraryError::Missing) => vec![],
        // The new copy replaces the damaged one; the user's labels stay.
        Err(LibraryError::Unreadable(id, PackError::NotATake | PackError::Damaged(_))) => {
            new.labels = table::labels(change, id)?.later(new.labels);
            vec![]
        }
        here => vec![here?],
    };
    for take in merge(here, vec![new])? {
        let header = TakeHeader { id: take.id, began: take.began, origin: take.origin };
        table::insert(change, &header, take.state)?;
        table::put_labels(change, take.id, &take.labels)?;
        if table::state_of(change, take.id)? != Some(TakeState::Recording) {
            table::put_summary(change, take.id, &Summary::of(&take.take()?.performance))?;
            table::put_packed(change, take.id, &take.packed, take.state)?;
        }
    }
    Ok(())
}
