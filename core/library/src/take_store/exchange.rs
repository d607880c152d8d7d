//! Between session and project.

use super::{Known, TakeStore, all};
use crate::library::State;
use crate::merge::{Stored, merge};
use crate::packed::pack;
use crate::project::{Project, Unpacked};
use crate::stamp::Stamp;
use overbar_core::session::Session;
use overbar_core::take::{Take, TakeId};
use std::collections::BTreeSet;

impl TakeStore {
    /// Everything the host's project is to hold. A take under way is as far as it has come.
    #[must_use]
    pub fn project(&mut self, session: &Session) -> Project {
        self.know(session);
        let mut takes: Vec<Stored> =
            session.takes().iter().filter_map(|take| self.stored(take, true)).collect();
        takes.extend(session.current().and_then(|take| self.stored(take, false)));
        takes.extend(self.aside.iter().cloned());
        Project { takes, tunes: self.tunes_of_project(), ..Project::default() }
    }

    /// Takes in a project: its takes come to those of the session, without doubling any; see
    /// [`mod@crate::merge`]. Returns what the user should be told.
    pub fn take_in(&mut self, session: &mut Session, unpacked: Unpacked) -> Vec<String> {
        self.know(session);
        let mut told = Vec::new();
        if unpacked.missing > 0 {
            let takes = unpacked.missing;
            told.push(format!("The saved project was cut off: {takes} of its takes are missing."));
        }
        unpacked.project.tunes.into_iter().for_each(|tune| self.know_tune(tune));
        let theirs = unpacked.project.takes;
        let under_way = session.current().map(|take| take.id);
        let mut readable = Vec::new();
        let mut broken = Vec::new();
        for take in theirs {
            match take.open() {
                Ok(_) => readable.push(take),
                Err(why) => {
                    told.push(why.to_string());
                    broken.push(take);
                }
            }
        }
        let ids: BTreeSet<TakeId> = readable.iter().map(|take| take.id).collect();
        // What could not be read here can be now, or has come once more.
        let mut ours: Vec<Stored> =
            self.aside.extract_if(.., |take| ids.contains(&take.id)).collect();
        ours.retain(|take| take.open().is_ok());
        broken.retain(|take| !self.aside.contains(take));
        for take in all(session).filter(|take| ids.contains(&take.id)) {
            ours.extend(self.stored(take, Some(take.id) != under_way));
        }
        // Our own can be read, so that merging cannot fail; if it did, ours would stay.
        let kept = ours.clone();
        readable = merge(ours, readable).unwrap_or(kept);
        if let Some(recorder) = &mut self.recorder {
            let over = readable.iter().filter(|take| Some(take.id) != under_way);
            recorder.put(over.cloned().collect());
        } else {
            self.waiting.extend(readable.iter().cloned());
        }
        self.settle(session, readable, under_way);
        self.aside.extend(broken);
        told
    }

    /// Takes in a single take, as out of the library. One that was cut off is one like any other
    /// from now on, and one that was deleted is not.
    pub fn fetch(&mut self, session: &mut Session, mut take: Stored) -> Vec<String> {
        take.state = State::Over;
        if take.labels.deleted.value {
            take.labels.deleted.set(false, Stamp::now());
        }
        let project = Project { takes: vec![take], ..Project::default() };
        self.take_in(session, Unpacked { project, missing: 0 })
    }

    /// Puts merged takes where they belong: into the session, or aside.
    fn settle(&mut self, session: &mut Session, merged: Vec<Stored>, under_way: Option<TakeId>) {
        let mut in_sight = Vec::new();
        let mut gone = BTreeSet::new();
        for take in merged {
            let id = take.id;
            let labels = take.labels.clone();
            let packed = (Some(id) != under_way).then(|| take.packed.clone());
            let known = Known { began: take.began, origin: take.origin, labels, packed };
            if take.labels.deleted.value && Some(id) != under_way {
                gone.insert(id);
                self.known.remove(&id);
                self.aside.push(take);
                continue;
            }
            self.known.insert(id, known);
            if Some(id) != under_way
                && let Ok(take) = take.take()
            {
                gone.insert(id);
                in_sight.push(take);
            }
        }
        self.bring_in(session, &gone, in_sight);
    }

    /// Takes `gone` out of the session and brings `arrived` in, by date. What is known of these is
    /// known already.
    pub(super) fn bring_in(
        &self,
        session: &mut Session,
        gone: &BTreeSet<TakeId>,
        arrived: Vec<Take>,
    ) {
        session.rearrange(|takes| {
            takes.retain(|take| !gone.contains(&take.id));
            takes.extend(arrived);
            let began = |take: &Take| self.known.get(&take.id).map(|known| known.began);
            takes.sort_by_key(|take| (began(take), take.id));
        });
    }

    /// A take of the session with all that is known of it. Of one that is `over` the packed notes
    /// are remembered.
    pub(super) fn stored(&mut self, take: &Take, over: bool) -> Option<Stored> {
        let known = self.known.get_mut(&take.id)?;
        let packed = match &known.packed {
            Some(packed) => packed.clone(),
            None => pack(&take.performance).into(),
        };
        if over {
            known.packed = Some(packed.clone());
        }
        let Known { began, origin, labels, .. } = known.clone();
        Some(Stored { id: take.id, began, origin, state: State::Over, labels, packed })
    }
}
