//! The user's edits. What they do to takes and their names can be undone; see [`super::undo`].

use super::store::{Notes, TakeCopy, TakeMetadata, TakeStore, all};
use super::undo::{Change, Label};
use crate::error::LibraryError;
use crate::ids::new_take_id;
use crate::labels::{Labels, Marker};
use crate::merge::StoredTake;
use crate::packed::pack;
use crate::splice;
use crate::stamp::{Edited, Stamp};
use crate::take_header::Origin;
use overbar_core::session::Session;
use overbar_core::take::performance::Performance;
use overbar_core::take::{Take, TakeId};
use overbar_core::time::Second;
use std::collections::BTreeSet;
use std::sync::Arc;

/// New takes from the notes of others, packed: the slow part of a split or merge.
#[derive(Debug)]
pub struct TakeParts {
    /// The takes to replace.
    of: Vec<TakeId>,
    parts: Vec<(Arc<Performance>, Arc<[u8]>)>,
}

impl TakeParts {
    /// Splits a take at each of `places`, which are in order; see [`crate::splice::split`].
    ///
    /// # Errors
    /// [`LibraryError::CannotSplit`].
    pub fn split(take: TakeCopy, places: &[Second]) -> Result<Self, LibraryError> {
        let mut last = Performance::clone(take.notes());
        let mut parts = Vec::new();
        for place in places {
            let (first, second) = splice::split(&last, *place)?;
            parts.push(first);
            last = second;
        }
        if parts.is_empty() {
            return Err(LibraryError::CannotSplit);
        }
        parts.push(last);
        Ok(Self::of(vec![take], parts))
    }

    /// Merges takes into one, in the order given; see [`crate::splice::join`].
    ///
    /// # Errors
    /// [`LibraryError::CannotMerge`].
    pub fn merge(takes: Vec<TakeCopy>) -> Result<Self, LibraryError> {
        let merged = splice::join(takes.iter().map(|take| &**take.notes()))?;
        Ok(Self::of(takes, vec![merged]))
    }

    fn of(takes: Vec<TakeCopy>, parts: Vec<Performance>) -> Self {
        let packed = |notes: Performance| {
            let bytes = pack(&notes).into();
            (Arc::new(notes), bytes)
        };
        // The takes themselves are stored as deleted.
        let of = takes.into_iter().map(|take| take.pack().id).collect();
        Self { of, parts: parts.into_iter().map(packed).collect() }
    }
}

impl TakeStore {
    /// Names a take; an empty name clears it.
    pub fn rename(&mut self, id: TakeId, name: &str) {
        self.relabel(id, Label::Name(name.trim().to_owned()));
    }

    /// Sets or clears the star of a take.
    pub fn star(&mut self, id: TakeId, star: bool) {
        self.relabel(id, Label::Star(star));
    }

    /// Sets the comment on a take.
    pub fn remark(&mut self, id: TakeId, remark: &str) {
        self.relabel(id, Label::Comment(remark.trim().to_owned()));
    }

    /// Adds a marker at the song's position to the current take; returns false without one.
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

    /// Copies the corrections from the session.
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

    /// Deletes finished takes: they are hidden, but restorable.
    pub fn delete(&mut self, session: &mut Session, ids: &[TakeId]) {
        let deleted = self.set_aside(session, ids);
        if !deleted.is_empty() {
            self.replaced(Change::Delete, deleted, Vec::new());
        }
    }

    /// Replaces finished takes with the parts made from them, which get the labels of the first.
    pub fn replace(&mut self, session: &mut Session, TakeParts { of, parts }: TakeParts) {
        self.sync(session);
        let Some(first) = of.first().and_then(|id| self.known.get(id)) else { return };
        let mut first = first.clone();
        // The notes of the parts determine their grid.
        first.labels.grid = Edited::default();
        let change = if parts.len() > 1 { Change::Split } else { Change::Merge };
        let mut made = Vec::new();
        for (notes, packed) in parts {
            let id = new_take_id();
            let packed = Arc::new(packed.into());
            self.known.insert(id, TakeMetadata { packed, ..first.clone() });
            made.push(Take::new(id, notes));
        }
        let delete = made.iter().map(|take| take.id).collect();
        self.insert(session, made);
        let restore = self.set_aside(session, &of);
        self.replaced(change, restore, delete);
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
        let known = TakeMetadata { began: Stamp::now(), origin, labels, packed: Arc::default() };
        self.known.insert(id, known);
        self.insert(session, vec![Take::new(id, performance)]);
        self.label_playing(id);
        id
    }

    /// Restores the readable ones among deleted takes; returns which.
    pub(super) fn restore(&mut self, session: &mut Session, mut notes: Notes) -> Vec<TakeId> {
        let deleted: Vec<StoredTake> =
            self.aside.extract_if(.., |take| notes.contains_key(&take.id)).collect();
        let mut restored = Vec::new();
        for mut stored in deleted {
            stored.labels.deleted.set(false, Stamp::now());
            let kept = notes.remove(&stored.id);
            let kept = kept.filter(|(packed, _)| Arc::ptr_eq(packed, &stored.packed));
            let take = match kept {
                Some((_, notes)) => Ok(stored.with_notes(notes)),
                None => stored.take(),
            };
            let Ok(take) = take else {
                self.aside.push(stored);
                continue;
            };
            self.write_labels(stored.id, &stored.labels);
            let StoredTake { id, began, origin, labels, packed, .. } = stored;
            let packed = Arc::new(packed.into());
            self.known.insert(id, TakeMetadata { began, origin, labels, packed });
            restored.push(take);
        }
        let ids = restored.iter().map(|take| take.id).collect();
        self.insert(session, restored);
        ids
    }

    /// Deletes finished takes from the session and keeps them aside; returns those that were there.
    pub(super) fn set_aside(&mut self, session: &mut Session, ids: &[TakeId]) -> Notes {
        self.sync(session);
        let mut deleted = Notes::new();
        for take in session.takes().iter().filter(|take| ids.contains(&take.id)) {
            let Some(mut stored) = self.copied(take).map(TakeCopy::pack) else { continue };
            stored.labels.deleted.set(true, Stamp::now());
            self.write_takes(vec![stored.clone()]);
            self.known.remove(&take.id);
            deleted.insert(take.id, (stored.packed.clone(), take.performance.clone()));
            self.aside.push(stored);
        }
        session.rearrange(|takes| takes.retain(|take| !deleted.contains_key(&take.id)));
        deleted
    }

    /// Inserts takes whose metadata is known into the session, by date.
    fn insert(&mut self, session: &mut Session, new: Vec<Take>) {
        for take in &new {
            if let Some(copy) = self.copied(take) {
                self.write_takes(vec![copy.pack()]);
            }
        }
        self.rearrange(session, &BTreeSet::new(), new);
    }
}
