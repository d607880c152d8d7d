//! Saves a session's takes to a project and loads them from one.

use super::store::{Notes, PackedNotes, TakeCopy, TakeMetadata, TakeStore, all};
use crate::merge::{StoredTake, merge};
use crate::project::{Project, Unpacked};
use crate::stamp::Stamp;
use crate::take_header::TakeState;
use crate::tune::Tune;
use overbar_core::session::Session;
use overbar_core::take::{Take, TakeId};
use std::collections::BTreeSet;
use std::sync::Arc;

/// A project with unpacked takes: the slow part of loading.
#[derive(Debug)]
pub struct OpenedProject {
    unpacked: Unpacked,
    notes: Notes,
    /// The takes that cannot be read, and why.
    broken: Vec<(StoredTake, String)>,
}

/// The takes of a project, copied.
#[derive(Debug)]
#[must_use]
pub struct ProjectCopy {
    takes: Vec<TakeCopy>,
    aside: Vec<StoredTake>,
    tunes: Vec<Tune>,
}

impl ProjectCopy {
    /// Packs the takes: the slow part of saving.
    #[must_use]
    pub fn pack(self) -> Project {
        let takes = self.takes.into_iter().map(TakeCopy::pack).chain(self.aside);
        Project { takes: takes.collect(), tunes: self.tunes }
    }
}

impl OpenedProject {
    /// Unpacks the takes.
    #[must_use]
    pub fn of(mut unpacked: Unpacked) -> Self {
        let (mut notes, mut broken) = (Notes::new(), Vec::new());
        let takes = core::mem::take(&mut unpacked.project.takes);
        for take in takes {
            match take.open() {
                Ok(read) => {
                    notes.insert(take.id, (take.packed.clone(), read.into()));
                    unpacked.project.takes.push(take);
                }
                Err(why) => broken.push((take, why.to_string())),
            }
        }
        Self { unpacked, notes, broken }
    }

    /// Unpacks one take, such as one of the library. It is then finished and not deleted.
    #[must_use]
    pub fn of_take(mut take: StoredTake) -> Self {
        take.state = TakeState::Finished;
        if take.labels.deleted.value {
            take.labels.deleted.set(false, Stamp::now());
        }
        let project = Project { takes: vec![take], ..Project::default() };
        Self::of(Unpacked { project, missing: 0 })
    }
}

impl TakeStore {
    /// The takes for the host's project, including the current one so far.
    pub fn copy_project(&mut self, session: &Session) -> ProjectCopy {
        self.sync(session);
        let mut takes: Vec<TakeCopy> =
            session.takes().iter().filter_map(|take| self.copied(take)).collect();
        takes.extend(self.copied_current(session));
        ProjectCopy { takes, aside: self.aside.clone(), tunes: self.tunes_of_project() }
    }

    /// Merges a project's takes into the session; see [`mod@crate::merge`]. Returns sentences for
    /// the user.
    pub fn load_project(&mut self, session: &mut Session, unpacked: Unpacked) -> Vec<String> {
        self.load_opened(session, OpenedProject::of(unpacked))
    }

    /// [`TakeStore::load_project`] for a project with unpacked takes.
    pub fn load_opened(&mut self, session: &mut Session, opened: OpenedProject) -> Vec<String> {
        let OpenedProject { unpacked, notes, broken } = opened;
        self.sync(session);
        let mut notices = Vec::new();
        if unpacked.missing > 0 {
            let takes = unpacked.missing;
            notices
                .push(format!("The saved project was cut off: {takes} of its takes are missing."));
        }
        unpacked.project.tunes.into_iter().for_each(|tune| self.add_tune(tune));
        let current = session.current().map(|take| take.id);
        let mut readable = unpacked.project.takes;
        let (mut broken, why): (Vec<StoredTake>, Vec<String>) = broken.into_iter().unzip();
        notices.extend(why);
        let ids: BTreeSet<TakeId> = readable.iter().map(|take| take.id).collect();
        // A take that was unreadable may now have a readable copy.
        let mut ours: Vec<StoredTake> =
            self.aside.extract_if(.., |take| ids.contains(&take.id)).collect();
        ours.retain(|take| take.open().is_ok());
        broken.retain(|take| !self.aside.contains(take));
        for take in all(session).filter(|take| ids.contains(&take.id)) {
            let is_current = Some(take.id) == current;
            let copy = if is_current { self.copied_current(session) } else { self.copied(take) };
            ours.extend(copy.map(TakeCopy::pack));
        }
        // All of them are readable, so merging cannot fail; if it did, ours would stay.
        let kept = ours.clone();
        readable = merge(ours, readable).unwrap_or(kept);
        let is_finished = |take: &&StoredTake| Some(take.id) != current || self.recorder.is_none();
        self.write_takes(readable.iter().filter(is_finished).cloned().collect());
        self.settle(session, readable, notes, current);
        self.aside.extend(broken);
        notices
    }

    /// Puts merged takes into the session, and sets deleted ones aside. `notes` are those already
    /// unpacked.
    fn settle(
        &mut self,
        session: &mut Session,
        merged: Vec<StoredTake>,
        mut notes: Notes,
        current: Option<TakeId>,
    ) {
        let mut loaded = Vec::new();
        let mut gone = BTreeSet::new();
        for take in merged {
            let id = take.id;
            let labels = take.labels.clone();
            let packed = PackedNotes::default();
            if Some(id) != current {
                packed.get_or_init(|| take.packed.clone());
            }
            let known = TakeMetadata { began: take.began, origin: take.origin, labels, packed };
            if take.labels.deleted.value && Some(id) != current {
                gone.insert(id);
                self.known.remove(&id);
                self.aside.push(take);
                continue;
            }
            self.known.insert(id, known);
            let unpacked =
                notes.remove(&id).filter(|(packed, _)| Arc::ptr_eq(packed, &take.packed));
            let taken = match unpacked {
                Some((_, notes)) => Ok(take.with_notes(notes)),
                None => take.take(),
            };
            if Some(id) != current
                && let Ok(take) = taken
            {
                gone.insert(id);
                loaded.push(take);
            }
        }
        self.rearrange(session, &gone, loaded);
    }

    /// Removes the takes `gone` from the session and inserts `new`, by date. The metadata of `new`
    /// must be known.
    pub(super) fn rearrange(&self, session: &mut Session, gone: &BTreeSet<TakeId>, new: Vec<Take>) {
        session.rearrange(|takes| {
            takes.retain(|take| !gone.contains(&take.id));
            takes.extend(new);
            let began = |take: &Take| self.known.get(&take.id).map(|known| known.began);
            takes.sort_by_key(|take| (began(take), take.id));
        });
    }
}
