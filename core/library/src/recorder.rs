//! Writes takes into the library as they are played.
//!
//! The owner of the session calls the recorder a few times a second:
//!
//! ```no_run
//! # use overbar_core::take::Take;
//! # use overbar_library::recorder::Recorder;
//! # fn round(recorder: &mut Recorder, takes: &[Take], current: Option<&Take>) {
//! if recorder.is_due() {
//!     recorder.record(takes, current);
//! }
//! for message in recorder.notices() {
//!     // To be shown in the panel.
//! #   drop(message);
//! }
//! # }
//! ```
//!
//! A call copies the changes and returns; the recorder's own thread writes them. Failed writes are
//! retried as long as the recorder lives. Never call it on the audio thread: it allocates.

use crate::catalog::CatalogEntry;
use crate::delta::DeltaTracker;
use crate::labels::Labels;
use crate::merge::StoredTake;
use crate::messages::{Health, Message, WriterStatus, lock};
use crate::stamp::Stamp;
use crate::take_header::{Origin, TakeHeader};
use crate::tune::Tune;
use crate::writer::Writer;
use overbar_core::take::{Take, TakeId};
use std::collections::{HashMap, HashSet};
use std::path::PathBuf;
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex};
use std::thread::{Builder, JoinHandle};
use std::time::{Duration, Instant};

/// Between two calls of [`Recorder::record`]. Takes are on disk well within a second.
const RECORD_EVERY: Duration = Duration::from_millis(250);

/// Writes takes as they are played; see the module.
#[derive(Debug)]
pub struct Recorder {
    to_writer: Option<Sender<Message>>,
    thread: Option<JoinHandle<()>>,
    status: Arc<Mutex<WriterStatus>>,
    recording: HashMap<TakeId, (TakeHeader, DeltaTracker)>,
    finished: HashSet<TakeId>,
    recorded: Option<Instant>,
}

impl Recorder {
    /// Starts a thread that opens or creates the library at `path` and writes into it. Returns at
    /// once; [`Recorder::health`] reports errors.
    ///
    /// # Errors
    /// If the system cannot start a thread.
    pub fn start(path: PathBuf) -> std::io::Result<Self> {
        let status = Arc::<Mutex<WriterStatus>>::default();
        let (to_writer, messages) = channel();
        let thread = Builder::new().name("overbar library".to_owned()).spawn({
            let status = status.clone();
            move || Writer::new(path, status).run(&messages)
        })?;
        Ok(Self {
            to_writer: Some(to_writer),
            thread: Some(thread),
            status,
            recording: HashMap::new(),
            finished: HashSet::new(),
            recorded: None,
        })
    }

    /// Whether a quarter of a second has passed since the last [`Recorder::record`].
    pub fn is_due(&self) -> bool {
        self.recorded.is_none_or(|recorded| recorded.elapsed() >= RECORD_EVERY)
    }

    /// Sends the changes of the finished takes and of the current one to the writer. About 10 ns a
    /// note of the current take.
    pub fn record(&mut self, finished: &[Take], current: Option<&Take>) {
        self.recorded = Some(Instant::now());
        self.restart_tracking();
        for take in finished {
            if !self.finished.contains(&take.id) {
                self.send_delta(take, true);
                self.finished.insert(take.id);
                self.recording.remove(&take.id);
            }
        }
        if let Some(take) = current {
            self.send_delta(take, false);
        }
        // A discarded pass, such as a playback of a known take.
        let exists = |id: &TakeId| {
            self.finished.contains(id) || current.is_some_and(|current| current.id == *id)
        };
        let gone: Vec<TakeId> = self.recording.keys().filter(|id| !exists(id)).copied().collect();
        for id in gone {
            self.recording.remove(&id);
            self.send(Message::Discard(id));
        }
    }

    /// Records one last time and ends the current take.
    pub fn close(mut self, finished: &[Take], current: Option<&Take>) {
        self.record(finished, current);
        if let Some(take) = current {
            self.send_delta(take, true);
        }
    }

    /// Merges takes of a project into the library. The session's copies are not written again.
    pub fn put(&mut self, takes: Vec<StoredTake>) {
        self.finished.extend(takes.iter().map(|take| take.id));
        self.send(Message::Put(takes));
    }

    /// Merges labels into those of a take.
    pub fn label(&mut self, id: TakeId, labels: Labels) {
        self.send(Message::Label(id, Box::new(labels)));
    }

    /// Writes a tune, a player or the result of a drill.
    pub fn enter(&mut self, entry: CatalogEntry) {
        self.send(Message::Enter(Box::new(entry)));
    }

    /// Whether takes reach the disk.
    pub fn health(&self) -> Health {
        lock(&self.status).health.clone()
    }

    /// New sentences for the user.
    #[must_use]
    pub fn notices(&self) -> Vec<String> {
        core::mem::take(&mut lock(&self.status).notices)
    }

    /// The tunes in the library; none before it is open.
    pub fn tunes(&self) -> Vec<Tune> {
        lock(&self.status).tunes.clone()
    }

    fn send_delta(&mut self, take: &Take, finished: bool) {
        let header = TakeHeader { id: take.id, began: Stamp::now(), origin: Origin::Played };
        let new = (header, DeltaTracker::default());
        let (header, tracker) = self.recording.entry(take.id).or_insert(new);
        let delta = tracker.next(&take.performance);
        if delta.is_some() || finished {
            let message = Message::Grown { header: *header, delta: delta.map(Box::new), finished };
            self.send(message);
        }
    }

    /// Resets the trackers of takes that the writer lost.
    fn restart_tracking(&mut self) {
        let (some, all) = {
            let mut status = lock(&self.status);
            (core::mem::take(&mut status.rewrite), core::mem::take(&mut status.rewrite_all))
        };
        let is_lost = |id: &TakeId| all || some.contains(id);
        for (id, (_, tracker)) in &mut self.recording {
            if is_lost(id) {
                *tracker = DeltaTracker::default();
            }
        }
        self.finished.retain(|id| !is_lost(id));
    }

    fn send(&self, message: Message) {
        let sent = self.to_writer.as_ref().is_some_and(|to| to.send(message).is_ok());
        if !sent {
            let why = "The library's writer has ended: takes are kept in memory only.";
            lock(&self.status).health = Health::Behind(why.to_owned());
        }
    }
}

impl Drop for Recorder {
    /// Waits until everything is written, as long as that takes on a healthy disk.
    fn drop(&mut self) {
        self.to_writer = None;
        if let Some(thread) = self.thread.take()
            && thread.join().is_err()
        {
            // The panic hook has reported it.
        }
    }
}
