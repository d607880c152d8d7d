//! What a user does to takes in the library. Everything can be undone until it is purged.

use crate::error::LibraryError;
use crate::ids::new_take_id;
use crate::labels::{Labels, Mark};
use crate::library::{Library, Start, State};
use crate::packed::pack;
use crate::splice;
use crate::stamp::Stamp;
use crate::summary::Summary;
use crate::table::{self, key};
use overbar_core::take::TakeId;
use overbar_core::take::corrections::Corrections;
use overbar_core::take::performance::Performance;
use overbar_core::time::Second;
use rusqlite::Connection;

/// Undoes a deletion, a parting or a joining: see [`Library::undo`].
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Undo {
    /// Takes that come back.
    pub back: Vec<TakeId>,
    /// Takes that go.
    pub away: Vec<TakeId>,
}

impl Library {
    /// Gives a take a name; an empty one takes it away.
    ///
    /// # Errors
    /// [`LibraryError::Missing`] where there is no such take; so for all below.
    pub fn rename(&mut self, id: TakeId, name: &str) -> Result<(), LibraryError> {
        self.label(id, |labels, now| labels.name.set(name.to_owned(), now))
    }

    /// Gives or takes a star.
    ///
    /// # Errors
    /// As [`Library::rename`].
    pub fn star(&mut self, id: TakeId, star: bool) -> Result<(), LibraryError> {
        self.label(id, |labels, now| labels.star.set(star, now))
    }

    /// Writes the user's note on a take.
    ///
    /// # Errors
    /// As [`Library::rename`].
    pub fn remark(&mut self, id: TakeId, remark: &str) -> Result<(), LibraryError> {
        self.label(id, |labels, now| labels.remark.set(remark.to_owned(), now))
    }

    /// Says which tune was played, by its name; with an empty one, that it is not known.
    ///
    /// # Errors
    /// As [`Library::rename`].
    pub fn set_tune(&mut self, id: TakeId, tune: &str) -> Result<(), LibraryError> {
        self.label(id, |labels, now| labels.tune.set(tune.trim().to_owned(), now))
    }

    /// Says who played, by name; with an empty one, that it is not known.
    ///
    /// # Errors
    /// As [`Library::rename`].
    pub fn set_player(&mut self, id: TakeId, player: &str) -> Result<(), LibraryError> {
        self.label(id, |labels, now| labels.player.set(player.trim().to_owned(), now))
    }

    /// Keeps where the user hears phrases begin: all of the take's corrections at once.
    ///
    /// # Errors
    /// As [`Library::rename`].
    pub fn correct(&mut self, id: TakeId, all: Corrections) -> Result<(), LibraryError> {
        self.label(id, |labels, now| labels.corrections.set(all, now))
    }

    /// Keeps marked places: all of the take's marks at once.
    ///
    /// # Errors
    /// As [`Library::rename`].
    pub fn mark(&mut self, id: TakeId, all: Vec<Mark>) -> Result<(), LibraryError> {
        self.label(id, |labels, now| labels.marks.set(all, now))
    }

    /// Brings a take's labels together with these: each as it was last changed.
    ///
    /// # Errors
    /// As [`Library::rename`].
    pub fn label_later(&mut self, id: TakeId, labels: Labels) -> Result<(), LibraryError> {
        let change = self.change()?;
        let labels = table::labels(&change, id)?.later(labels);
        table::put_labels(&change, id, &labels)?;
        change.commit()?;
        Ok(())
    }

    /// The labels of a take.
    ///
    /// # Errors
    /// As [`Library::rename`].
    pub fn labels(&self, id: TakeId) -> Result<Labels, LibraryError> {
        table::labels(self.connection(), id)
    }

    /// Deletes takes: they are out of sight, and there until they are purged.
    ///
    /// # Errors
    /// As [`Library::rename`]; all are as they were then.
    pub fn delete(&mut self, ids: &[TakeId]) -> Result<Undo, LibraryError> {
        self.undo(&Undo { back: vec![], away: ids.to_vec() })
    }

    /// Undoes what gave `undo`. Gives what does it again.
    ///
    /// # Errors
    /// [`LibraryError::Missing`] where a take has been purged; nothing has changed then.
    pub fn undo(&mut self, undo: &Undo) -> Result<Undo, LibraryError> {
        let change = self.change()?;
        set_deleted(&change, &undo.back, false)?;
        set_deleted(&change, &undo.away, true)?;
        change.commit()?;
        Ok(Undo { back: undo.away.clone(), away: undo.back.clone() })
    }

    /// Removes the notes of deleted takes that were deleted before `before`, for good; how many
    /// takes. What stays is a row that says so: an older copy of a project does not bring them
    /// back into sight.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn purge(&mut self, before: Stamp) -> Result<usize, LibraryError> {
        let change = self.change()?;
        let mut deleted = change.prepare(
            "SELECT id FROM take WHERE deleted = 1 AND state != 0 AND notes + outside > 0",
        )?;
        let ids = deleted.query_map([], |row| table::id_in(row, 0))?;
        let ids = ids.collect::<Result<Vec<_>, _>>()?;
        drop(deleted);
        let mut purged = 0;
        for id in ids {
            if table::labels(&change, id)?.deleted.at < before {
                let silent = Performance::default();
                table::put_summary(&change, id, &Summary::of(&silent))?;
                table::put_packed(&change, id, &pack(&silent), State::Over)?;
                purged += 1;
            }
        }
        change.commit()?;
        Ok(purged)
    }

    /// Parts a take at `at`: see [`crate::splice::split`]. The parts share its labels; the
    /// whole is deleted.
    ///
    /// # Errors
    /// [`LibraryError::CannotSplit`], and as [`Library::load`].
    pub fn split(&mut self, id: TakeId, at: Second) -> Result<([TakeId; 2], Undo), LibraryError> {
        let (first, second) = splice::split(&self.load(id)?, at)?;
        let made = [new_take_id(), new_take_id()];
        let change = self.change()?;
        for (new, take) in made.iter().zip([first, second]) {
            derive(&change, *new, id, &take)?;
        }
        set_deleted(&change, &[id], true)?;
        change.commit()?;
        Ok((made, Undo { back: vec![id], away: made.to_vec() }))
    }

    /// Makes one take of several, in the order given: see [`crate::splice::merge_sidecars`]. It has the
    /// labels of the first one; the others are deleted.
    ///
    /// # Errors
    /// [`LibraryError::CannotJoin`], and as [`Library::load`].
    pub fn join(&mut self, ids: &[TakeId]) -> Result<(TakeId, Undo), LibraryError> {
        let [first, others @ ..] = ids else {
            return Err(LibraryError::CannotJoin("there are none"));
        };
        let mut joined = self.load(*first)?;
        for other in others {
            joined = splice::join(&joined, &self.load(*other)?)?;
        }
        let made = new_take_id();
        let change = self.change()?;
        derive(&change, made, *first, &joined)?;
        set_deleted(&change, ids, true)?;
        change.commit()?;
        Ok((made, Undo { back: ids.to_vec(), away: vec![made] }))
    }

    fn label(
        &mut self,
        id: TakeId,
        set: impl FnOnce(&mut Labels, Stamp),
    ) -> Result<(), LibraryError> {
        let change = self.change()?;
        let mut labels = table::labels(&change, id)?;
        set(&mut labels, Stamp::now());
        table::put_labels(&change, id, &labels)?;
        change.commit()?;
        Ok(())
    }
}

fn set_deleted(change: &Connection, ids: &[TakeId], deleted: bool) -> Result<(), LibraryError> {
    for id in ids {
        let mut labels = table::labels(change, *id)?;
        labels.deleted.set(deleted, Stamp::now());
        table::put_labels(change, *id, &labels)?;
    }
    Ok(())
}

/// A take made of another one: with its date and labels.
fn derive(
    change: &Connection,
    new: TakeId,
    from: TakeId,
    take: &Performance,
) -> Result<(), LibraryError> {
    let mut row = change.prepare_cached("SELECT began, origin FROM take WHERE id = ?")?;
    let (began, origin): (i64, i64) =
        row.query_row([key(from)], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let start = Start { id: new, began: Stamp(began), origin: table::origin(origin) };
    table::insert(change, &start, State::Over)?;
    table::put_labels(change, new, &table::labels(change, from)?)?;
    table::put_summary(change, new, &Summary::of(take))?;
    table::put_packed(change, new, &pack(take), State::Over)
}
