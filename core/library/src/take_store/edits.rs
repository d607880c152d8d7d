//! The user's edits. Deleting, splitting and joining can be undone.

use super::store::{TakeMetadata, TakeStore, UndoStep, all};
use crate::error::LibraryError;
use crate::ids::new_take_id;
use crate::labels::{Labels, Marker};
use crate::merge::StoredTake;
use crate::packed::pack;
use crate::splice;
use crate::stamp::Stamp;
use crate::take_header::Origin;
use overbar_core::session::Session;
use overbar_core::take::performance::Performance;
use overbar_core::take::{Take, TakeId};
use overbar_core::time::Second;
use std::collections::BTreeSet;
use std::sync::Arc;

/// The parts of a take and the take itself, packed: all of a split that takes long.
#[derive(Debug)]
pub struct TakeParts {
    whole: Arc<[u8]>,
    parts: Vec<Part>,
}

/// A new take of the same notes as another, packed.
#[derive(Debug)]
struct Part {
    notes: Arc<Performance>,
    packed: Arc<[u8]>,
}

impl TakeParts {
    /// Splits a take at each of `places`, which are in order; see [`crate::splice::split`].
    ///
    /// # Errors
    /// [`LibraryError::CannotSplit`].
    pub fn of(take: &Performance, places: &[Second]) -> Result<Self, LibraryError> {
        let mut last = take.clone();
        let mut parts = Vec::new();
        for place in places {
            let (first, second) = splice::split(&last, *place)?;
            parts.push(Part::of(first));
            last = second;
        }
        if parts.is_empty() {
            return Err(LibraryError::CannotSplit);
        }
        parts.push(Part::of(last));
        Ok(Self { whole: pack(take).into(), parts })
    }
}

impl Part {
    fn of(notes: Performance) -> Self {
        Self { packed: pack(&notes).into(), notes: notes.into() }
    }
}

impl TakeStore {
    /// Names a take; an empty name clears it.
    pub fn rename(&mut self, id: TakeId, name: &str) {
        self.label(id, |labels, now| labels.name.set(name.trim().to_owned(), now));
    }

    /// Sets or clears the star of a take.
    pub fn star(&mut self, id: TakeId, star: bool) {
        self.label(id, |labels, now| labels.star.set(star, now));
    }

    /// Sets the comment on a take.
    pub fn remark(&mut self, id: TakeId, remark: &str) {
        self.label(id, |labels, now| labels.remark.set(remark.trim().to_owned(), now));
    }

    /// Adds a marker at the song's position to the current take; whether there is one.
    pub fn add_marker(&mut self, session: &Session) -> bool {
        self.sync(session);
        let Some((take, (second, beat))) = session.current().zip(session.rolling_at()) else {
            return false;
        };
        let marker = Marker { second, beat, text: String::new() };
        self.label(take.id, |labels, now| {
            let mut markers = labels.marks.value.clone();
            markers.push(marker);
            labels.marks.set(markers, now);
        });
        true
    }

    /// Takes over the corrections made in the session.
    pub fn sync_corrections(&mut self, session: &Session) {
        self.sync(session);
        for take in all(session) {
            let made = &take.performance.corrections;
            let known = self.known.get(&take.id);
            if known.is_some_and(|known| known.labels.corrections.value != *made) {
                let made = made.clone();
                self.label(take.id, |labels, now| labels.corrections.set(made, now));
            }
        }
    }

    /// Deletes finished takes: they are hidden, and can be restored.
    pub fn delete(&mut self, session: &mut Session, ids: &[TakeId]) {
        let deleted = self.set_aside(session, ids);
        if !deleted.is_empty() {
            self.undo_steps.push(UndoStep { restore: deleted, delete: Vec::new() });
        }
    }

    /// How many changes [`TakeStore::undo`] can undo.
    pub fn undo_count(&self) -> usize {
        self.undo_steps.len()
    }

    /// Undoes the last deletion, split or join.
    pub fn undo(&mut self, session: &mut Session) {
        let Some(last) = self.undo_steps.pop() else { return };
        self.set_aside(session, &last.delete);
        let deleted: Vec<StoredTake> =
            self.aside.extract_if(.., |take| last.restore.contains(&take.id)).collect();
        let mut restored = Vec::new();
        for mut stored in deleted {
            stored.labels.deleted.set(false, Stamp::now());
            let Ok(take) = stored.take() else {
                self.aside.push(stored);
                continue;
            };
            self.write_labels(stored.id, &stored.labels);
            let StoredTake { id, began, origin, labels, packed, .. } = stored;
            self.known.insert(id, TakeMetadata { began, origin, labels, packed: Some(packed) });
            restored.push(take);
        }
        self.insert(session, restored);
    }

    /// Splits a take at each of `moments`, which are in order; see [`crate::splice::split`].
    ///
    /// # Errors
    /// [`LibraryError::CannotSplit`], or [`LibraryError::Missing`] for a take that is not finished.
    pub fn split(
        &mut self,
        session: &mut Session,
        id: TakeId,
        moments: &[Second],
    ) -> Result<(), LibraryError> {
        let parts = TakeParts::of(finished(session, id)?, moments)?;
        self.split_into(session, id, parts)
    }

    /// Splits a take into `parts` of it.
    ///
    /// # Errors
    /// [`LibraryError::Missing`] for a take that is not finished.
    pub fn split_into(
        &mut self,
        session: &mut Session,
        id: TakeId,
        TakeParts { whole, parts }: TakeParts,
    ) -> Result<(), LibraryError> {
        finished(session, id)?;
        self.sync(session);
        if let Some(known) = self.known.get_mut(&id) {
            known.packed.get_or_insert(whole);
        }
        self.replace(session, &[id], parts);
        Ok(())
    }

    /// Joins takes into one, in the order given; see [`crate::splice::join`].
    ///
    /// # Errors
    /// [`LibraryError::CannotMerge`], or [`LibraryError::Missing`] for a take that is not finished.
    pub fn join(&mut self, session: &mut Session, ids: &[TakeId]) -> Result<(), LibraryError> {
        let takes = ids.iter().map(|id| finished(session, *id)).collect::<Result<Vec<_>, _>>()?;
        let joined = Part::of(splice::join(takes.into_iter())?);
        self.replace(session, ids, vec![joined]);
        Ok(())
    }

    /// Adds a take from elsewhere, such as a file, to the session. It gets the current tune and
    /// player.
    pub fn add(
        &mut self,
        session: &mut Session,
        performance: impl Into<Arc<Performance>>,
        name: &str,
        origin: Origin,
    ) -> TakeId {
        self.sync(session);
        let id = new_take_id();
        let mut labels = Labels::default();
        labels.name.set(name.to_owned(), Stamp::now());
        let known = TakeMetadata { began: Stamp::now(), origin, labels, packed: None };
        self.known.insert(id, known);
        self.insert(session, vec![Take::new(id, performance)]);
        self.label_playing(id);
        id
    }

    /// Replaces takes by `new` ones, which get the labels of the first.
    fn replace(&mut self, session: &mut Session, ids: &[TakeId], new: Vec<Part>) {
        self.sync(session);
        let Some(first) = ids.first().and_then(|id| self.known.get(id)).cloned() else { return };
        let mut made = Vec::new();
        for Part { notes, packed } in new {
            let id = new_take_id();
            self.known.insert(id, TakeMetadata { packed: Some(packed), ..first.clone() });
            made.push(Take::new(id, notes));
        }
        let delete = made.iter().map(|take| take.id).collect();
        self.insert(session, made);
        let restore = self.set_aside(session, ids);
        self.undo_steps.push(UndoStep { restore, delete });
    }

    /// Deletes finished takes from the session and keeps them aside; returns those that were there.
    fn set_aside(&mut self, session: &mut Session, ids: &[TakeId]) -> Vec<TakeId> {
        self.sync(session);
        let mut deleted = Vec::new();
        for take in session.takes().iter().filter(|take| ids.contains(&take.id)) {
            let Some(mut stored) = self.stored(take, true) else { continue };
            stored.labels.deleted.set(true, Stamp::now());
            self.write_takes(vec![stored.clone()]);
            self.known.remove(&take.id);
            deleted.push(take.id);
            self.aside.push(stored);
        }
        session.rearrange(|takes| takes.retain(|take| !deleted.contains(&take.id)));
        deleted
    }

    /// Inserts takes whose metadata is known into the session, by date.
    fn insert(&mut self, session: &mut Session, new: Vec<Take>) {
        for take in &new {
            if let Some(stored) = self.stored(take, true) {
                self.write_takes(vec![stored]);
            }
        }
        self.rearrange(session, &BTreeSet::new(), new);
    }
}

fn finished(session: &Session, id: TakeId) -> Result<&Performance, LibraryError> {
    let take = session.takes().iter().find(|take| take.id == id);
    take.map(|take| &*take.performance).ok_or(LibraryError::Missing)
}
