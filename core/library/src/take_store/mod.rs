//! What is known of a session's takes beside their notes, and where they are kept: whoever has a
//! session has a keeper beside it.
//!
//! The keeper dates takes, remembers what the user added to them, has them written into the
//! library ([`crate::recorder`]), packs them for the host's project and takes a project in.
//! Deleted takes, and takes of a project that cannot be read, are kept aside and go back into
//! the project as they are.

mod edits;
mod exchange;
mod playing;
mod tunes;

pub use playing::Playing;

use crate::catalog::Entry;
use crate::labels::Labels;
use crate::library::Origin;
use crate::merge::Stored;
use crate::recorder::{Health, Recorder};
use crate::stamp::Stamp;
use crate::tune::{Tune, TuneId};
use overbar_core::session::Session;
use overbar_core::take::{Take, TakeId};
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::Arc;

/// What is known of a take beside its notes.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// When it began.
    pub began: Stamp,
    /// Where it comes from.
    pub origin: Origin,
    /// What the user added.
    pub labels: Labels,
    /// Its notes, packed, once they have been: what is packed is not packed again.
    packed: Option<Arc<[u8]>>,
}

/// See the module.
#[derive(Debug, Default)]
pub struct TakeStore {
    recorder: Option<Recorder>,
    known: BTreeMap<TakeId, Known>,
    /// Takes that are in the project and not in the session: deleted, or not to be read.
    aside: Vec<Stored>,
    /// Takes of a project that came before there was a recorder.
    waiting: Vec<Stored>,
    /// What belongs to takes and came before there was a recorder.
    to_enter: Vec<Entry>,
    /// What is played, and by whom.
    playing: Playing,
    /// The project's tunes.
    tunes: BTreeMap<TuneId, Tune>,
    /// What can be undone, the last at the end.
    undoing: Vec<edits::Undoing>,
}

impl TakeStore {
    /// From now on takes are written into the library at `path`. Returns at once; what goes wrong
    /// is told by [`TakeStore::notices`]. A second call changes nothing.
    ///
    /// # Errors
    /// If the system gives no thread.
    pub fn start(&mut self, path: PathBuf) -> std::io::Result<()> {
        if self.recorder.is_some() {
            return Ok(());
        }
        let mut recorder = Recorder::start(path)?;
        let waiting = core::mem::take(&mut self.waiting);
        if !waiting.is_empty() {
            recorder.put(waiting);
        }
        for (id, known) in self.known.iter().filter(|(_, known)| known.labels != Labels::default())
        {
            recorder.label(*id, known.labels.clone());
        }
        core::mem::take(&mut self.to_enter).into_iter().for_each(|entry| recorder.enter(entry));
        self.recorder = Some(recorder);
        Ok(())
    }

    /// Whether it is time for the next [`TakeStore::look`].
    #[must_use]
    pub fn is_due(&self) -> bool {
        self.recorder.as_ref().is_none_or(Recorder::is_due)
    }

    /// Looks at the takes of `session`: dates those that are new, and has what is new of them
    /// written. About 10 ns a note of the take under way.
    pub fn look(&mut self, session: &Session) {
        self.know(session);
        if let Some(recorder) = &mut self.recorder {
            recorder.look(session.takes(), session.current());
        }
    }

    /// The last look: the take under way ends here. Waits until what is known is written, as long
    /// as that takes a healthy disk.
    pub fn close(&mut self, session: &Session) {
        self.know(session);
        if let Some(recorder) = self.recorder.take() {
            recorder.close(session.takes(), session.current());
        }
    }

    /// Whether takes come to the disk.
    #[must_use]
    pub fn health(&self) -> Health {
        self.recorder.as_ref().map(Recorder::health).unwrap_or_default()
    }

    /// What the user should be told, each once.
    #[must_use]
    pub fn notices(&self) -> Vec<String> {
        self.recorder.as_ref().map(Recorder::notices).unwrap_or_default()
    }

    /// What is known of a take of the session.
    #[must_use]
    pub fn known(&self, id: TakeId) -> Option<&Known> {
        self.known.get(&id)
    }

    /// What is known of the session's takes.
    pub fn all_known(&self) -> impl Iterator<Item = (TakeId, &Known)> {
        self.known.iter().map(|(id, known)| (*id, known))
    }

    /// Dates the takes of `session` that are new, and forgets those that came to nothing.
    pub fn know(&mut self, session: &Session) {
        let mut there = BTreeSet::new();
        let mut new = Vec::new();
        for take in all(session) {
            there.insert(take.id);
            let known = self.known.entry(take.id).or_insert_with(|| {
                new.push(take.id);
                Known::new()
            });
            if take.playback_of.is_some() {
                known.origin = Origin::Playback;
            }
        }
        self.known.retain(|id, _| there.contains(id));
        new.into_iter().for_each(|id| self.say_what_is_played(id));
    }
}

impl Known {
    fn new() -> Self {
        Self {
            began: Stamp::now(),
            origin: Origin::Played,
            labels: Labels::default(),
            packed: None,
        }
    }
}

/// The takes of a session, also the one under way.
fn all(session: &Session) -> impl Iterator<Item = &Take> {
    session.takes().iter().chain(session.current())
}
