//! The statements that read and write takes. Writing needs a transaction of the caller.

use crate::chunks::{Chunk, ChunkKind, ChunkReader};
use crate::error::LibraryError;
use crate::labels::Labels;
use crate::merge::StoredTake;
use crate::packed::{MAX_NOTES, PackError, pack, unpack};
use crate::stamp::Stamp;
use crate::summary::Summary;
use crate::take_header::{Origin, TakeHeader, TakeState};
use crate::tune::TuneId;
use crate::writer_lock::WriterLock;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use rusqlite::{Connection, OptionalExtension, Params, Row, params};
use std::sync::Arc;

type Result<T> = core::result::Result<T, LibraryError>;

pub fn key(id: TakeId) -> [u8; 16] {
    id.0.to_be_bytes()
}

pub fn id_in(row: &Row<'_>, index: usize) -> rusqlite::Result<TakeId> {
    row.get(index).map(|bytes| TakeId(u128::from_be_bytes(bytes)))
}

/// Executes a statement; returns how many rows it changed.
fn execute(change: &Connection, statement: &str, values: impl Params) -> Result<usize> {
    Ok(change.prepare_cached(statement)?.execute(values)?)
}

/// Inserts a take, unless it is here.
pub fn insert(change: &Connection, header: &TakeHeader, state: TakeState) -> Result<()> {
    let TakeHeader { id, began, origin } = *header;
    execute(
        change,
        "INSERT OR IGNORE INTO take (id, state, heartbeat, began, origin, name, star, deleted, \
         folded, notes, outside, seconds, first_bar, last_bar, metre) \
         VALUES (?, ?, ?, ?, ?, '', 0, 0, '', 0, 0, 0, 0, 0, '')",
        params![key(id), state as i64, Stamp::now().0, began.0, origin as i64],
    )?;
    Ok(())
}

/// Assigns a take to a writer, which records it from its start.
pub fn claim(change: &Connection, id: TakeId, lock: &WriterLock) -> Result<()> {
    execute(change, "DELETE FROM piece WHERE take = ?", [key(id)])?;
    let statement = "UPDATE take SET state = 0, owner = ? WHERE id = ?";
    execute(change, statement, params![lock.token, key(id)])?;
    Ok(())
}

/// Marks a take as still being recorded by this writer.
pub fn touch(change: &Connection, id: TakeId, lock: &WriterLock) -> Result<()> {
    let touched = execute(
        change,
        "UPDATE take SET heartbeat = ? WHERE id = ? AND owner = ? AND state = 0",
        params![Stamp::now().0, key(id), lock.token],
    )?;
    if touched == 1 { Ok(()) } else { Err(LibraryError::Missing) }
}

/// Writes the summary of a take.
pub fn put_summary(change: &Connection, id: TakeId, summary: &Summary) -> Result<()> {
    let Summary { notes, outside, seconds, bars: (first, last), tempo, metre } = summary;
    execute(
        change,
        "UPDATE take SET notes = ?, outside = ?, seconds = ?, first_bar = ?, last_bar = ?, \
         tempo = ?, metre = ? WHERE id = ?",
        params![notes, outside, seconds, first, last, tempo, metre, key(id)],
    )?;
    Ok(())
}

pub fn labels(change: &Connection, id: TakeId) -> Result<Labels> {
    if state_of(change, id)?.is_none() {
        return Err(LibraryError::Missing);
    }
    let mut labels = change.prepare_cached("SELECT body FROM label WHERE take = ?")?;
    let labels: Option<String> = labels.query_row([key(id)], |row| row.get(0)).optional()?;
    Ok(labels.map_or(Ok(Labels::default()), |labels| serde_json::from_str(&labels))?)
}

/// Writes the labels of a take, and those that lists search and sort by into its row.
pub fn put_labels(change: &Connection, id: TakeId, labels: &Labels) -> Result<()> {
    execute(
        change,
        "UPDATE take SET name = ?, star = ?, deleted = ?, folded = ?, tune = ? WHERE id = ?",
        params![
            labels.name.value,
            labels.star.value,
            labels.deleted.value,
            labels.folded(),
            TuneId::of(&labels.tune.value).as_ref().map(TuneId::bytes),
            key(id),
        ],
    )?;
    let statement = "INSERT OR REPLACE INTO label (take, body) VALUES (?, ?)";
    execute(change, statement, params![key(id), serde_json::to_string(labels)?])?;
    Ok(())
}

pub fn put_chunk(change: &Connection, id: TakeId, chunk: &Chunk) -> Result<()> {
    let number = i64::try_from(chunk.number).unwrap_or(i64::MAX);
    let statement = "INSERT OR REPLACE INTO piece (take, kind, number, bytes) VALUES (?, ?, ?, ?)";
    execute(change, statement, params![key(id), chunk.kind.number(), number, chunk.bytes])?;
    Ok(())
}

/// Drops chunks from number `from`.
pub fn truncate_chunks(
    change: &Connection,
    id: TakeId,
    kind: ChunkKind,
    from: usize,
) -> Result<()> {
    let from = i64::try_from(from).unwrap_or(i64::MAX);
    let statement = "DELETE FROM piece WHERE take = ? AND kind = ? AND number >= ?";
    execute(change, statement, params![key(id), kind.number(), from])?;
    Ok(())
}

/// The state of a take; `None` if it is not here.
pub fn state_of(change: &Connection, id: TakeId) -> Result<Option<TakeState>> {
    let mut query = change.prepare_cached("SELECT state FROM take WHERE id = ?")?;
    let number = query.query_row([key(id)], |row| row.get(0)).optional()?;
    Ok(number.map(TakeState::from_number))
}

/// Replaces the chunks of a take with its packed notes.
pub fn put_packed(change: &Connection, id: TakeId, packed: &[u8], state: TakeState) -> Result<()> {
    let statement = "INSERT OR REPLACE INTO packed (take, bytes) VALUES (?, ?)";
    execute(change, statement, params![key(id), packed])?;
    execute(change, "DELETE FROM piece WHERE take = ?", [key(id)])?;
    put_state(change, id, state)
}

/// Sets the state of a take that no longer has a writer.
pub fn put_state(change: &Connection, id: TakeId, state: TakeState) -> Result<()> {
    let statement = "UPDATE take SET state = ?, owner = NULL WHERE id = ?";
    execute(change, statement, params![state as i64, key(id)])?;
    Ok(())
}

/// Packs the chunks of a take, if it has any, and sets its state.
pub fn settle(change: &Connection, id: TakeId, state: TakeState) -> Result<()> {
    if state_of(change, id)?.is_none() {
        return Err(LibraryError::Missing);
    }
    let has_chunks: bool = change
        .prepare_cached("SELECT EXISTS (SELECT 1 FROM piece WHERE take = ?)")?
        .query_row([key(id)], |row| row.get(0))?;
    if has_chunks {
        let take = from_chunks(change, id)?;
        // A longer take could not be unpacked, so it stays in chunks.
        if take.soloist.notes().len().max(take.ignored.notes().len()) <= MAX_NOTES {
            let packed = pack(&take);
            let mut take = Arc::new(take);
            labels(change, id)?.set_grid(&mut take);
            put_summary(change, id, &Summary::of(&take))?;
            return put_packed(change, id, &packed, state);
        }
    }
    put_state(change, id, state)
}

pub fn load(connection: &Connection, id: TakeId) -> Result<Performance> {
    let notes = match packed(connection, id)? {
        Some(packed) => unpack(&packed).map_err(|why| LibraryError::Unreadable(id, why))?,
        None if state_of(connection, id)?.is_none() => return Err(LibraryError::Missing),
        None => from_chunks(connection, id)?,
    };
    let mut notes = Arc::new(notes);
    labels(connection, id)?.set_grid(&mut notes);
    Ok(Arc::unwrap_or_clone(notes))
}

fn packed(connection: &Connection, id: TakeId) -> Result<Option<Vec<u8>>> {
    // A finished take that goes on, because its writer seemed to be gone, has chunks too.
    // The row is read by rowid, as its own id then reveals a damaged index.
    let mut query = connection.prepare_cached(
        "SELECT bytes, take = ?1 FROM packed \
         WHERE rowid = (SELECT rowid FROM packed WHERE take = ?1) \
         AND NOT EXISTS (SELECT 1 FROM piece WHERE take = ?1)",
    )?;
    match query.query_row([key(id)], |row| Ok((row.get(0)?, row.get(1)?))).optional()? {
        Some((_, false)) => {
            let other = PackError::Damaged("its notes belong to another take");
            Err(LibraryError::Unreadable(id, other))
        }
        found => Ok(found.map(|(bytes, _)| bytes)),
    }
}

fn from_chunks(connection: &Connection, id: TakeId) -> Result<Performance> {
    let mut query = connection
        .prepare_cached("SELECT kind, bytes FROM piece WHERE take = ? ORDER BY kind, number")?;
    let mut rows = query.query([key(id)])?;
    let mut reader = ChunkReader::default();
    let mut is_empty = true;
    let unreadable = |why| LibraryError::Unreadable(id, why);
    while let Some(row) = rows.next()? {
        is_empty = false;
        let bytes = row.get_ref(1)?.as_blob().map_err(rusqlite::Error::from)?;
        reader.add(row.get(0)?, bytes).map_err(unreadable)?;
    }
    if is_empty && should_have_notes(connection, id)? {
        return Err(unreadable(PackError::Damaged("its notes are missing")));
    }
    reader.finish().map_err(unreadable)
}

/// Whether the row of a take has a note count above 0.
fn should_have_notes(connection: &Connection, id: TakeId) -> Result<bool> {
    let mut row = connection.prepare_cached("SELECT notes + outside FROM take WHERE id = ?")?;
    Ok(row.query_row([key(id)], |row| row.get::<_, i64>(0))? > 0)
}

/// A take with its labels, packed.
pub fn stored(connection: &Connection, id: TakeId) -> Result<StoredTake> {
    let mut row =
        connection.prepare_cached("SELECT began, origin, state FROM take WHERE id = ?")?;
    let (began, origin, state): (i64, i64, i64) =
        row.query_row([key(id)], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    let packed = match packed(connection, id)? {
        Some(packed) => packed,
        None => pack(&from_chunks(connection, id)?),
    };
    Ok(StoredTake {
        id,
        began: Stamp(began),
        origin: Origin::from_number(origin),
        state: TakeState::from_number(state),
        labels: labels(connection, id)?,
        packed: packed.into(),
    })
}
