//! What a user does with the takes of a session. Deleting, parting and joining can be undone.

use super::{Known, TakeStore, all};
use crate::error::LibraryError;
use crate::ids::new_take_id;
use crate::labels::{Labels, Mark};
use crate::library::Origin;
use crate::merge::Stored;
use crate::splice;
use crate::stamp::Stamp;
use overbar_core::session::Session;
use overbar_core::take::performance::Performance;
use overbar_core::take::{Take, TakeId};
use overbar_core::time::Second;
use std::collections::BTreeSet;

/// What undoing one change has to do.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Undoing {
    /// Takes that come back.
    back: Vec<TakeId>,
    /// Takes that go.
    away: Vec<TakeId>,
}

impl TakeStore {
    /// Gives a take a name; an empty one takes it away.
    pub fn rename(&mut self, id: TakeId, name: &str) {
        self.label(id, |labels, now| labels.name.set(name.trim().to_owned(), now));
    }

    /// Gives or takes a star.
    pub fn star(&mut self, id: TakeId, star: bool) {
        self.label(id, |labels, now| labels.star.set(star, now));
    }

    /// Writes the user's note on a take.
    pub fn remark(&mut self, id: TakeId, remark: &str) {
        self.label(id, |labels, now| labels.remark.set(remark.trim().to_owned(), now));
    }

    /// Marks the place that the song has come to in the take under way; whether there is one.
    pub fn mark(&mut self, session: &Session) -> bool {
        self.know(session);
        let Some((take, (second, beat))) = session.current().zip(session.rolling_at()) else {
            return false;
        };
        let mark = Mark { second, beat, text: String::new() };
        self.label(take.id, |labels, now| {
            let mut marks = labels.marks.value.clone();
            marks.push(mark);
            labels.marks.set(marks, now);
        });
        true
    }

    /// Notes which boundaries of the session's takes were set by hand since last time.
    pub fn note_corrections(&mut self, session: &Session) {
        self.know(session);
        for take in all(session) {
            let made = &take.performance.corrections;
            let known = self.known.get(&take.id);
            if known.is_some_and(|known| known.labels.corrections.value != *made) {
                let made = made.clone();
                self.label(take.id, |labels, now| labels.corrections.set(made, now));
            }
        }
    }

    /// Deletes takes that are over: they are out of sight, and can be had back.
    pub fn delete(&mut self, session: &mut Session, ids: &[TakeId]) {
        let away = self.put_away(session, ids);
        if !away.is_empty() {
            self.undoing.push(Undoing { back: away, away: Vec::new() });
        }
    }

    /// How often [`TakeStore::undo`] can be asked.
    #[must_use]
    pub fn can_undo(&self) -> usize {
        self.undoing.len()
    }

    /// Undoes the last deletion, parting or joining.
    pub fn undo(&mut self, session: &mut Session) {
        let Some(last) = self.undoing.pop() else { return };
        self.put_away(session, &last.away);
        let back: Vec<Stored> =
            self.aside.extract_if(.., |take| last.back.contains(&take.id)).collect();
        let mut restored = Vec::new();
        for mut stored in back {
            stored.labels.deleted.set(false, Stamp::now());
            let Ok(take) = stored.take() else {
                self.aside.push(stored);
                continue;
            };
            self.tell_label(stored.id, &stored.labels);
            let Stored { id, began, origin, labels, packed, .. } = stored;
            self.known.insert(id, Known { began, origin, labels, packed: Some(packed) });
            restored.push(take);
        }
        self.put_in_order(session, restored);
    }

    /// Parts a take at each of `places`, which are in order; see [`crate::splice::split`].
    ///
    /// # Errors
    /// [`LibraryError::CannotSplit`], and [`LibraryError::Missing`] for a take that is not over.
    pub fn split(
        &mut self,
        session: &mut Session,
        id: TakeId,
        places: &[Second],
    ) -> Result<(), LibraryError> {
        let mut last = over(session, id)?.clone();
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
        self.replace(session, &[id], parts);
        Ok(())
    }

    /// Makes one take of several, in the order given; see [`crate::splice::merge_sidecars`].
    ///
    /// # Errors
    /// [`LibraryError::CannotJoin`], and [`LibraryError::Missing`] for a take that is not over.
    pub fn join(&mut self, session: &mut Session, ids: &[TakeId]) -> Result<(), LibraryError> {
        let [first, others @ ..] = ids else {
            return Err(LibraryError::CannotJoin("there are none"));
        };
        let mut joined = over(session, *first)?.clone();
        for other in others {
            joined = splice::join(&joined, over(session, *other)?)?;
        }
        self.replace(session, ids, vec![joined]);
        Ok(())
    }

    /// Puts a take from elsewhere, such as a file, into the session. It is taken to be of the tune that
    /// is played, and by whoever plays.
    pub fn put(
        &mut self,
        session: &mut Session,
        performance: Performance,
        name: &str,
        origin: Origin,
    ) -> TakeId {
        self.know(session);
        let id = new_take_id();
        let mut labels = Labels::default();
        labels.name.set(name.to_owned(), Stamp::now());
        let known = Known { began: Stamp::now(), origin, labels, packed: None };
        self.known.insert(id, known);
        self.put_in_order(session, vec![Take::new(id, performance)]);
        self.say_what_is_played(id);
        id
    }

    /// `new` takes in place of those in `ids`, with the labels of the first of these.
    fn replace(&mut self, session: &mut Session, ids: &[TakeId], new: Vec<Performance>) {
        self.know(session);
        let Some(first) = ids.first().and_then(|id| self.known.get(id)).cloned() else { return };
        let mut made = Vec::new();
        for performance in new {
            let id = new_take_id();
            self.known.insert(id, Known { packed: None, ..first.clone() });
            made.push(Take::new(id, performance));
        }
        let away = made.iter().map(|take| take.id).collect();
        self.put_in_order(session, made);
        let back = self.put_away(session, ids);
        self.undoing.push(Undoing { back, away });
    }

    /// Puts takes that are over aside as deleted; those that were there.
    fn put_away(&mut self, session: &mut Session, ids: &[TakeId]) -> Vec<TakeId> {
        self.know(session);
        let mut away = Vec::new();
        for take in session.takes().iter().filter(|take| ids.contains(&take.id)) {
            let Some(mut stored) = self.stored(take, true) else { continue };
            stored.labels.deleted.set(true, Stamp::now());
            self.tell_whole(&stored);
            self.known.remove(&take.id);
            away.push(take.id);
            self.aside.push(stored);
        }
        session.rearrange(|takes| takes.retain(|take| !away.contains(&take.id)));
        away
    }

    /// Puts takes that are known already with the others, by date.
    fn put_in_order(&mut self, session: &mut Session, more: Vec<Take>) {
        for take in &more {
            let stored = self.stored(take, true);
            stored.iter().for_each(|stored| self.tell_whole(stored));
        }
        self.bring_in(session, &BTreeSet::new(), more);
    }

    pub(super) fn label(&mut self, id: TakeId, set: impl FnOnce(&mut Labels, Stamp)) {
        let Some(known) = self.known.get_mut(&id) else { return };
        set(&mut known.labels, Stamp::now());
        let labels = known.labels.clone();
        self.tell_label(id, &labels);
    }

    fn tell_label(&mut self, id: TakeId, labels: &Labels) {
        if let Some(recorder) = &mut self.recorder {
            recorder.label(id, labels.clone());
        }
    }

    fn tell_whole(&mut self, take: &Stored) {
        match &mut self.recorder {
            Some(recorder) => recorder.put(vec![take.clone()]),
            None => self.waiting.push(take.clone()),
        }
    }
}

/// What was played in a take that is over.
fn over(session: &Session, id: TakeId) -> Result<&Performance, LibraryError> {
    let take = session.takes().iter().find(|take| take.id == id);
    take.map(|take| &take.performance).ok_or(LibraryError::Missing)
}
