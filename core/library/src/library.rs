//! Takes in the library: written as they grow, finished, read, put in whole.

use crate::delta::Growth;
use crate::error::LibraryError;
use crate::merge::{Stored, merge};
use crate::packed::PackError;
use crate::stamp::Stamp;
use crate::summary::Summary;
use crate::table;
use crate::writer_lock::{Owner, is_gone};
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use rusqlite::{Connection, Transaction, TransactionBehavior, params};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// A library, open. Each thread opens one of its own; several programs may have the same file
/// open. Every change is one short transaction: it is there whole or not at all.
#[derive(Debug)]
pub struct Library {
    connection: Connection,
    path: PathBuf,
}

/// How far along a take is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// It is being played.
    UnderWay = 0,
    /// It is over.
    #[default]
    Over = 1,
    /// Its host ended in the middle of it. It is offered until the user keeps or deletes it.
    LeftBehind = 2,
}

/// Where a take comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// It was played.
    #[default]
    Played = 0,
    /// The host played back what it had recorded.
    Playback = 1,
    /// It was read from a file.
    File = 2,
}

/// What is known of a take when it begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// What it is known by.
    pub id: TakeId,
    /// When it began.
    pub began: Stamp,
    /// Where it comes from.
    pub origin: Origin,
}

impl Library {
    pub(crate) fn of(connection: Connection, path: PathBuf) -> Self {
        Self { connection, path }
    }

    /// The file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    pub(crate) fn connection(&self) -> &Connection {
        &self.connection
    }

    /// Begins a short change that no other writer comes into.
    pub(crate) fn change(&mut self) -> Result<Transaction<'_>, LibraryError> {
        Ok(self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?)
    }

    /// Limits the file to so many bytes beyond what it has, as a full disk would.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn leave_room_for(&self, bytes: u64) -> Result<(), LibraryError> {
        let number =
            |name| self.connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
        let more = i64::try_from(bytes).unwrap_or(i64::MAX) / number("page_size")?.max(1);
        let most = number("page_count")?.saturating_add(more);
        // The pragma answers with the limit it set.
        self.connection.pragma_update_and_check(None, "max_page_count", most, |_| Ok(()))?;
        Ok(())
    }

    /// Begins a take, written by `owner`.
    ///
    /// # Errors
    /// [`LibraryError`]. A take that is here already, because its writer was thought gone, is
    /// under way again; all of it has to be appended anew.
    pub fn begin_take(&mut self, start: &Start, owner: &Owner) -> Result<(), LibraryError> {
        let change = self.change()?;
        table::insert(&change, start, State::UnderWay)?;
        table::claim(&change, start.id, owner)?;
        change.commit()?;
        Ok(())
    }

    /// Writes what is new of a take. What is written again replaces what was there.
    ///
    /// # Errors
    /// [`LibraryError::Missing`] for a take that is not under way here, or not by `writer_lock`: it has
    /// to be begun, and appended from its start. Nothing is written then.
    pub fn append(
        &mut self,
        id: TakeId,
        growth: &Growth,
        owner: &Owner,
    ) -> Result<(), LibraryError> {
        let change = self.change()?;
        table::touch(&change, id, owner)?;
        table::put_summary(&change, id, &growth.summary)?;
        for piece in &growth.pieces {
            table::put_piece(&change, id, piece)?;
        }
        for (kind, runs) in growth.runs {
            table::cut_short(&change, id, kind, runs)?;
        }
        change.commit()?;
        Ok(())
    }

    /// Says that the takes of `owner` are still under way.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn beat_heart(&mut self, owner: &Owner) -> Result<(), LibraryError> {
        self.connection.execute(
            "UPDATE take SET heartbeat = ? WHERE owner = ? AND state = 0",
            params![Stamp::now().0, owner.token],
        )?;
        Ok(())
    }

    /// Ends a take: its pieces are packed. One of more than [`crate::packed::MOST_NOTES`] stays in pieces.
    ///
    /// # Errors
    /// [`LibraryError`]; the take is as it was then.
    pub fn finish_take(&mut self, id: TakeId) -> Result<(), LibraryError> {
        let change = self.change()?;
        table::settle(&change, id, State::Over)?;
        change.commit()?;
        Ok(())
    }

    /// Removes what `owner` wrote of a take that is under way and came to nothing: nothing was
    /// played in it that another take does not hold.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn forget(&mut self, id: TakeId, owner: &Owner) -> Result<(), LibraryError> {
        self.connection.execute(
            "DELETE FROM take WHERE id = ? AND owner = ? AND state = 0",
            params![table::key(id), owner.token],
        )?;
        Ok(())
    }

    /// Keeps a take that was left behind: from now on it is one like any other.
    ///
    /// # Errors
    /// [`LibraryError::Missing`].
    pub fn keep(&mut self, id: TakeId) -> Result<(), LibraryError> {
        self.finish_take(id)
    }

    /// Marks the takes under way whose writer is gone; how many there were.
    pub(crate) fn mark_left_behind(&mut self, now: Stamp) -> Result<usize, LibraryError> {
        let path = self.path.clone();
        let mut under_way =
            self.connection.prepare("SELECT id, owner, heartbeat FROM take WHERE state = 0")?;
        // A damaged row is no reason not to open the library: it is passed by.
        let rows = under_way.query_map([], |row| {
            let owner = row.get::<_, Option<[u8; 16]>>(1).unwrap_or(None);
            Ok(row.get(0).ok().zip(row.get(2).ok()).map(|(id, heartbeat)| (id, owner, heartbeat)))
        })?;
        let mut left = Vec::new();
        for row in rows {
            let Some((id, owner, heartbeat)): Option<([u8; 16], _, i64)> = row? else { continue };
            if owner.is_none_or(|owner| is_gone(&path, &owner, Stamp(heartbeat), now)) {
                left.push(TakeId(u128::from_be_bytes(id)));
            }
        }
        drop(under_way);
        let mut marked = 0;
        for id in left {
            let change = self.change()?;
            // Another one that opened it at the same time may have been first.
            if table::state_of(&change, id)? == Some(State::UnderWay) {
                match table::settle(&change, id, State::LeftBehind) {
                    // One that cannot be read is no reason not to open the others.
                    Err(LibraryError::Unreadable(..)) => {
                        table::put_state(&change, id, State::LeftBehind)?;
                    }
                    settled => settled?,
                }
                change.commit()?;
                marked += 1;
            }
        }
        Ok(marked)
    }

    /// The notes of a take, also of one that is under way or deleted.
    ///
    /// # Errors
    /// [`LibraryError::Missing`], or [`LibraryError::Unreadable`].
    pub fn load(&self, id: TakeId) -> Result<Performance, LibraryError> {
        table::read(&self.connection, id)
    }

    /// A take as it is put into a project: with its labels, and packed.
    ///
    /// # Errors
    /// As [`Library::load`].
    pub fn stored(&self, id: TakeId) -> Result<Stored, LibraryError> {
        table::stored(&self.connection, id)
    }

    /// Puts a whole take in, or brings it together with what is here of it by the rules of
    /// [`mod@crate::merge`]; a damaged copy that is here is replaced. Of a take that is being
    /// written here only the labels are taken.
    ///
    /// # Errors
    /// [`LibraryError::Unreadable`] if its notes can't be read, or a newer Overbar wrote those that
    /// are here; nothing has changed then.
    pub fn put(&mut self, take: &Stored) -> Result<(), LibraryError> {
        self.put_all(core::slice::from_ref(take))
    }

    /// The same for several, all or none.
    ///
    /// # Errors
    /// As [`Library::put`].
    pub fn put_all(&mut self, takes: &[Stored]) -> Result<(), LibraryError> {
        let change = self.change()?;
        for take in takes {
            put(&change, take)?;
        }
        change.commit()?;
        Ok(())
    }
}

fn put(change: &Connection, new: &Stored) -> Result<(), LibraryError> {
    let mut new = new.clone();
    let here = table::stored(change, new.id).and_then(|here| {
        if here.packed != new.packed {
            here.open()?;
        }
        Ok(here)
    });
    let here = match here {
        Err(LibraryError::Missing) => vec![],
        // What cannot be read here is whole again with what comes; what the user added stays.
        Err(LibraryError::Unreadable(id, PackError::NotATake | PackError::Damaged(_))) => {
            new.labels = table::labels(change, id)?.later(new.labels);
            vec![]
        }
        here => vec![here?],
    };
    for take in merge(here, vec![new])? {
        let start = Start { id: take.id, began: take.began, origin: take.origin };
        table::insert(change, &start, take.state)?;
        table::put_labels(change, take.id, &take.labels)?;
        if table::state_of(change, take.id)? != Some(State::UnderWay) {
            table::put_summary(change, take.id, &Summary::of(&take.open()?))?;
            table::put_packed(change, take.id, &take.packed, take.state)?;
        }
    }
    Ok(())
}
