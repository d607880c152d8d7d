//! The store itself, and its metadata of each take.

use super::undo::Steps;
use crate::catalog::CatalogEntry;
use crate::labels::Labels;
use crate::merge::StoredTake;
use crate::messages::Health;
use crate::packed::pack;
use crate::recorder::Recorder;
use crate::stamp::Stamp;
use crate::take_header::{Origin, TakeState};
use crate::tune::{Tune, TuneForm, TuneId};
use overbar_core::session::Session;
use overbar_core::take::performance::Performance;
use overbar_core::take::{Take, TakeId};
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::{Arc, OnceLock};

/// Take metadata.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeMetadata {
    /// When it started.
    pub began: Stamp,
    /// Where it comes from.
    pub origin: Origin,
    /// Its labels.
    pub labels: Labels,
    /// Its packed notes.
    pub(super) packed: PackedNotes,
}

/// The packed notes of a finished take; packed only once, as packing again could change them. Copies of
/// its metadata share them, and the first to need them packs them.
pub(super) type PackedNotes = Arc<OnceLock<Arc<[u8]>>>;

/// A copy of a take. Packing is slow, so it works on the copy, without the session or the store.
#[derive(Debug, Clone)]
#[must_use]
pub struct TakeCopy {
    id: TakeId,
    known: TakeMetadata,
    notes: Arc<Performance>,
}

impl TakeCopy {
    /// Its notes.
    pub fn notes(&self) -> &Arc<Performance> {
        &self.notes
    }

    /// The take packed, with its metadata.
    #[must_use]
    pub fn pack(self) -> StoredTake {
        let packed = self.known.packed.get_or_init(|| pack(&self.notes).into()).clone();
        let TakeMetadata { began, origin, labels, .. } = self.known;
        StoredTake { id: self.id, began, origin, state: TakeState::Finished, labels, packed }
    }
}

/// The current tune and player.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Playing {
    /// The tune's name; empty if none is set.
    pub tune: String,
    /// Its form, if set.
    pub form: Option<TuneForm>,
    /// The player's name; empty if none is set.
    pub player: String,
}

/// The notes of takes, each with its packed bytes.
pub(super) type Notes = BTreeMap<TakeId, (Arc<[u8]>, Arc<Performance>)>;

/// See [the module](super).
#[derive(Debug, Default)]
pub struct TakeStore {
    pub(super) recorder: Option<Recorder>,
    pub(super) known: BTreeMap<TakeId, TakeMetadata>,
    /// Takes of the project that are not in the session: deleted or unreadable.
    pub(super) aside: Vec<StoredTake>,
    /// Takes of a project loaded before there was a recorder.
    pub(super) waiting_takes: Vec<StoredTake>,
    /// Tunes, players and drills from before there was a recorder.
    pub(super) waiting_entries: Vec<CatalogEntry>,
    pub(super) playing: Playing,
    /// The project's tunes.
    pub(super) tunes: BTreeMap<TuneId, Tune>,
    /// Changes that can be undone or redone.
    pub(super) steps: Steps,
}

impl TakeStore {
    /// Starts writing takes into the library at `path`. Returns at once; [`TakeStore::notices`]
    /// reports errors. A second call changes nothing.
    ///
    /// # Errors
    /// If the system cannot start a thread.
    pub fn start(&mut self, path: PathBuf) -> std::io::Result<()> {
        if self.recorder.is_some() {
            return Ok(());
        }
        let mut recorder = Recorder::start(path)?;
        let takes = core::mem::take(&mut self.waiting_takes);
        if !takes.is_empty() {
            recorder.put(takes);
        }
        for (id, known) in &self.known {
            if known.labels != Labels::default() {
                recorder.label(*id, known.labels.clone());
            }
        }
        core::mem::take(&mut self.waiting_entries).into_iter().for_each(|e| recorder.enter(e));
        self.recorder = Some(recorder);
        Ok(())
    }

    /// Whether the next [`TakeStore::record`] is due.
    pub fn is_due(&self) -> bool {
        self.recorder.as_ref().is_none_or(Recorder::is_due)
    }

    /// Dates new takes of `session` and has the changes written. About 10 ns a note of the current
    /// take.
    pub fn record(&mut self, session: &Session) {
        self.sync(session);
        if let Some(recorder) = &mut self.recorder {
            recorder.record(session.takes(), session.current());
        }
    }

    /// Records one last time and ends the current take. Waits until everything is written, as long as
    /// that takes on a healthy disk.
    pub fn close(&mut self, session: &Session) {
        self.sync(session);
        if let Some(recorder) = self.recorder.take() {
            recorder.close(session.takes(), session.current());
        }
    }

    /// Whether takes reach the disk.
    pub fn health(&self) -> Health {
        self.recorder.as_ref().map(Recorder::health).unwrap_or_default()
    }

    /// New sentences for the user.
    #[must_use]
    pub fn notices(&self) -> Vec<String> {
        self.recorder.as_ref().map(Recorder::notices).unwrap_or_default()
    }

    /// The metadata of a take of the session.
    pub fn metadata(&self, id: TakeId) -> Option<&TakeMetadata> {
        self.known.get(&id)
    }

    /// A copy of a finished take of the session; `None` without such a take.
    pub fn copy(&mut self, session: &Session, id: TakeId) -> Option<TakeCopy> {
        self.sync(session);
        self.copied(session.takes().iter().find(|take| take.id == id)?)
    }

    /// A copy of the first finished take that is not packed yet.
    pub fn unpacked(&self, session: &Session) -> Option<TakeCopy> {
        let is_unpacked = |take: &&Take| {
            self.known.get(&take.id).is_some_and(|known| known.packed.get().is_none())
        };
        self.copied(session.takes().iter().find(is_unpacked)?)
    }

    pub(super) fn copied(&self, take: &Take) -> Option<TakeCopy> {
        let known = self.known.get(&take.id)?.clone();
        Some(TakeCopy { id: take.id, known, notes: take.performance.clone() })
    }

    /// A copy of the current take so far.
    pub(super) fn copied_current(&self, session: &Session) -> Option<TakeCopy> {
        let mut copy = self.copied(session.current()?)?;
        copy.known.packed = Arc::default();
        Some(copy)
    }

    /// The metadata of all takes of the session.
    pub fn all_metadata(&self) -> impl Iterator<Item = (TakeId, &TakeMetadata)> {
        self.known.iter().map(|(id, known)| (*id, known))
    }

    /// Dates new takes of `session`, and drops the metadata of takes that are gone.
    pub fn sync(&mut self, session: &Session) {
        let mut there = BTreeSet::new();
        let mut new = Vec::new();
        for take in all(session) {
            there.insert(take.id);
            let known = self.known.entry(take.id).or_insert_with(|| {
                new.push(take.id);
                let (began, origin) = (Stamp::now(), Origin::Played);
                TakeMetadata { began, origin, labels: Labels::default(), packed: Arc::default() }
            });
            if take.playback_of.is_some() {
                known.origin = Origin::Playback;
            }
        }
        self.known.retain(|id, _| there.contains(id));
        new.into_iter().for_each(|id| self.label_playing(id));
    }

    pub(super) fn label(&mut self, id: TakeId, edit: impl FnOnce(&mut Labels, Stamp)) {
        let Some(known) = self.known.get_mut(&id) else { return };
        edit(&mut known.labels, Stamp::now());
        let labels = known.labels.clone();
        self.write_labels(id, &labels);
    }

    pub(super) fn write_labels(&mut self, id: TakeId, labels: &Labels) {
        if let Some(recorder) = &mut self.recorder {
            recorder.label(id, labels.clone());
        }
    }

    pub(super) fn write_takes(&mut self, takes: Vec<StoredTake>) {
        match &mut self.recorder {
            Some(recorder) => recorder.put(takes),
            None => self.waiting_takes.extend(takes),
        }
    }

    pub(super) fn write_entry(&mut self, entry: CatalogEntry) {
        match &mut self.recorder {
            Some(recorder) => recorder.enter(entry),
            None => self.waiting_entries.push(entry),
        }
    }
}

/// The takes of a session, including the current one.
pub(super) fn all(session: &Session) -> impl Iterator<Item = &Take> {
    session.takes().iter().chain(session.current())
}
