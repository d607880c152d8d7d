//! The statements that read and write takes, each within a change of its caller's.

use crate::chunks::{Kind, Piece, Pieces};
use crate::error::LibraryError;
use crate::labels::Labels;
use crate::library::{Origin, Start, State};
use crate::merge::Stored;
use crate::packed::{MOST_NOTES, PackError, pack, unpack};
use crate::stamp::Stamp;
use crate::summary::Summary;
use crate::tune::TuneId;
use crate::writer_lock::Owner;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use rusqlite::{Connection, OptionalExtension, Row, params};

type Done = Result<(), LibraryError>;

/// An id as it lies in the file.
pub fn key(id: TakeId) -> [u8; 16] {
    id.0.to_be_bytes()
}

/// The id in column `index`.
pub fn id_in(row: &Row<'_>, index: usize) -> rusqlite::Result<TakeId> {
    row.get(index).map(|bytes| TakeId(u128::from_be_bytes(bytes)))
}

/// The state with this number.
pub fn state(number: i64) -> State {
    let all = [State::UnderWay, State::Over, State::LeftBehind];
    all.into_iter().find(|s| *s as i64 == number).unwrap_or_default()
}

/// The origin with this number.
pub fn origin(number: i64) -> Origin {
    let all = [Origin::Played, Origin::Playback, Origin::File];
    all.into_iter().find(|o| *o as i64 == number).unwrap_or_default()
}

/// A row for a take, unless there is one.
pub fn insert(change: &Connection, start: &Start, state: State) -> Done {
    change
        .prepare_cached(
            "INSERT OR IGNORE INTO take (id, state, heartbeat, began, origin, name, star, deleted, \
             folded, notes, outside, seconds, first_bar, last_bar, metre) \
             VALUES (?, ?, ?, ?, ?, '', 0, 0, '', 0, 0, 0, 0, 0, '')",
        )?
        .execute(params![
            key(start.id),
            state as i64,
            Stamp::now().0,
            start.began.0,
            start.origin as i64,
        ])?;
    Ok(())
}

/// From now on `owner` writes the take, which so is under way, and writes all of it anew.
pub fn claim(change: &Connection, id: TakeId, owner: &Owner) -> Done {
    change.prepare_cached("DELETE FROM piece WHERE take = ?")?.execute([key(id)])?;
    change
        .prepare_cached("UPDATE take SET state = 0, owner = ? WHERE id = ?")?
        .execute(params![owner.token, key(id)])?;
    Ok(())
}

/// Says that `owner` is writing the take now.
pub fn touch(change: &Connection, id: TakeId, owner: &Owner) -> Done {
    let touched = change
        .prepare_cached("UPDATE take SET heartbeat = ? WHERE id = ? AND owner = ? AND state = 0")?
        .execute(params![Stamp::now().0, key(id), owner.token])?;
    if touched == 1 { Ok(()) } else { Err(LibraryError::Missing) }
}

/// What a list shows.
pub fn put_summary(change: &Connection, id: TakeId, summary: &Summary) -> Done {
    change
        .prepare_cached(
            "UPDATE take SET notes = ?, outside = ?, seconds = ?, first_bar = ?, last_bar = ?, \
             tempo = ?, metre = ? WHERE id = ?",
        )?
        .execute(params![
            summary.notes,
            summary.outside,
            summary.seconds,
            summary.bars.0,
            summary.bars.1,
            summary.tempo,
            summary.metre,
            key(id),
        ])?;
    Ok(())
}

/// The labels of a take; those of one that was never labelled are empty.
pub fn labels(change: &Connection, id: TakeId) -> Result<Labels, LibraryError> {
    if state_of(change, id)?.is_none() {
        return Err(LibraryError::Missing);
    }
    let mut labels = change.prepare_cached("SELECT body FROM label WHERE take = ?")?;
    let labels: Option<String> = labels.query_row([key(id)], |row| row.get(0)).optional()?;
    Ok(labels.map_or(Ok(Labels::default()), |labels| serde_json::from_str(&labels))?)
}

/// The labels, and what is listed, sorted and searched of them.
pub fn put_labels(change: &Connection, id: TakeId, labels: &Labels) -> Done {
    change
        .prepare_cached(
            "UPDATE take SET name = ?, star = ?, deleted = ?, folded = ?, tune = ? \
             WHERE id = ?",
        )?
        .execute(params![
            labels.name.value,
            labels.star.value,
            labels.deleted.value,
            labels.folded(),
            TuneId::of(&labels.tune.value).as_ref().map(TuneId::bytes),
            key(id),
        ])?;
    change
        .prepare_cached("INSERT OR REPLACE INTO label (take, body) VALUES (?, ?)")?
        .execute(params![key(id), serde_json::to_string(labels)?])?;
    Ok(())
}

/// A piece of a take under way.
pub fn put_piece(change: &Connection, id: TakeId, piece: &Piece) -> Done {
    let number = i64::try_from(piece.number).unwrap_or(i64::MAX);
    change
        .prepare_cached(
            "INSERT OR REPLACE INTO piece (take, kind, number, bytes) VALUES (?, ?, ?, ?)",
        )?
        .execute(params![key(id), piece.kind.number(), number, piece.bytes])?;
    Ok(())
}

/// Drops pieces from number `from` on: there are fewer of them now.
pub fn cut_short(change: &Connection, id: TakeId, kind: Kind, from: usize) -> Done {
    let from = i64::try_from(from).unwrap_or(i64::MAX);
    change
        .prepare_cached("DELETE FROM piece WHERE take = ? AND kind = ? AND number >= ?")?
        .execute(params![key(id), kind.number(), from])?;
    Ok(())
}

/// How far along a take is, if it is here.
pub fn state_of(change: &Connection, id: TakeId) -> Result<Option<State>, LibraryError> {
    let mut found = change.prepare_cached("SELECT state FROM take WHERE id = ?")?;
    Ok(found.query_row([key(id)], |row| row.get(0)).optional()?.map(state))
}

/// The packed notes of a take, where it is over; in place of its pieces.
pub fn put_packed(change: &Connection, id: TakeId, packed: &[u8], state: State) -> Done {
    change
        .prepare_cached("INSERT OR REPLACE INTO packed (take, bytes) VALUES (?, ?)")?
        .execute(params![key(id), packed])?;
    change.prepare_cached("DELETE FROM piece WHERE take = ?")?.execute([key(id)])?;
    put_state(change, id, state)
}

/// How far along a take is now.
pub fn put_state(change: &Connection, id: TakeId, state: State) -> Done {
    change
        .prepare_cached("UPDATE take SET state = ?, owner = NULL WHERE id = ?")?
        .execute(params![state as i64, key(id)])?;
    Ok(())
}

/// Ends a take that is in pieces: packs it, and puts it into this state.
pub fn settle(change: &Connection, id: TakeId, state: State) -> Done {
    if state_of(change, id)?.is_none() {
        return Err(LibraryError::Missing);
    }
    let in_pieces: bool = change
        .prepare_cached("SELECT EXISTS (SELECT 1 FROM piece WHERE take = ?)")?
        .query_row([key(id)], |row| row.get(0))?;
    if in_pieces {
        let take = from_pieces(change, id)?;
        // Where no one could unpack it, it stays as it is.
        if take.heard.notes().len().max(take.outside.notes().len()) <= MOST_NOTES {
            put_summary(change, id, &Summary::of(&take))?;
            return put_packed(change, id, &pack(&take), state);
        }
    }
    put_state(change, id, state)
}

/// The notes of a take.
pub fn read(connection: &Connection, id: TakeId) -> Result<Performance, LibraryError> {
    match packed(connection, id)? {
        Some(packed) => unpack(&packed).map_err(|why| LibraryError::Unreadable(id, why)),
        None if state_of(connection, id)?.is_none() => Err(LibraryError::Missing),
        None => from_pieces(connection, id),
    }
}

fn packed(connection: &Connection, id: TakeId) -> Result<Option<Vec<u8>>, LibraryError> {
    // A take that was over and goes on, because its writer was thought gone, is in both.
    // By its row, so that its id is read there too: a damaged index leads to another take's.
    let mut found = connection.prepare_cached(
        "SELECT bytes, take = ?1 FROM packed \
         WHERE rowid = (SELECT rowid FROM packed WHERE take = ?1) \
         AND NOT EXISTS (SELECT 1 FROM piece WHERE take = ?1)",
    )?;
    match found.query_row([key(id)], |row| Ok((row.get(0)?, row.get(1)?))).optional()? {
        Some((_, false)) => {
            let other = PackError::Damaged("the notes found for it are another take's");
            Err(LibraryError::Unreadable(id, other))
        }
        found => Ok(found.map(|(bytes, _)| bytes)),
    }
}

fn from_pieces(connection: &Connection, id: TakeId) -> Result<Performance, LibraryError> {
    let mut statement = connection
        .prepare_cached("SELECT kind, bytes FROM piece WHERE take = ? ORDER BY kind, number")?;
    let mut rows = statement.query([key(id)])?;
    let mut pieces = Pieces::default();
    let mut is_there = false;
    let unreadable = |why| LibraryError::Unreadable(id, why);
    while let Some(row) = rows.next()? {
        is_there = true;
        let bytes = row.get_ref(1)?.as_blob().map_err(rusqlite::Error::from)?;
        pieces.add(row.get(0)?, bytes).map_err(unreadable)?;
    }
    if !is_there && should_have_notes(connection, id)? {
        return Err(unreadable(PackError::Damaged("its notes are not there")));
    }
    pieces.take().map_err(unreadable)
}

/// Whether notes were written of a take.
fn should_have_notes(connection: &Connection, id: TakeId) -> Result<bool, LibraryError> {
    let mut row = connection.prepare_cached("SELECT notes + outside FROM take WHERE id = ?")?;
    Ok(row.query_row([key(id)], |row| row.get::<_, i64>(0))? > 0)
}

/// A take with its labels, packed.
pub fn stored(connection: &Connection, id: TakeId) -> Result<Stored, LibraryError> {
    let mut row =
        connection.prepare_cached("SELECT began, origin, state FROM take WHERE id = ?")?;
    let (began, from, how_far): (i64, i64, i64) =
        row.query_row([key(id)], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    let packed = match packed(connection, id)? {
        Some(packed) => packed,
        None => pack(&from_pieces(connection, id)?),
    };
    Ok(Stored {
        id,
        began: Stamp(began),
        origin: origin(from),
        state: state(how_far),
        labels: labels(connection, id)?,
        packed: packed.into(),
    })
}
