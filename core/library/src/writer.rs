//! The thread that writes takes: collects messages, writes them in short transactions, and keeps
//! what cannot be written until it can.

use crate::catalog::CatalogEntry;
use crate::chunks::{Chunk, ChunkKind};
use crate::delta::Delta;
use crate::error::LibraryError;
use crate::labels::Labels;
use crate::library::Library;
use crate::location;
use crate::merge::StoredTake;
use crate::merge_sidecars::Sidecars;
use crate::messages::{Health, Message, WriterStatus, lock};
use crate::open::{Notice, OpenedLibrary};
use crate::take_header::TakeHeader;
use crate::writer_lock::WriterLock;
use overbar_core::take::TakeId;
use std::collections::{BTreeMap, HashSet, VecDeque};
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// The wait after a failed write.
const RETRY_AFTER: Duration = Duration::from_millis(500);

/// Takes are marked as still being recorded at least this often.
const HEARTBEAT: Duration = Duration::from_secs(5);

/// How long the last attempts to write may take.
const LAST_ATTEMPTS: Duration = Duration::from_secs(1);

/// The notice to the user of a sidecar.
const SIDECAR: &str = "Another copy of the plugin in this host is using the library, for example because \
    both the CLAP and the VST3 are loaded. This one keeps its takes in a file of its own; they are moved into \
    the library at the next start.";

/// The pending changes of a take.
#[derive(Debug)]
struct PendingTake {
    header: TakeHeader,
    chunks: BTreeMap<(ChunkKind, usize), Chunk>,
    delta: Option<Delta>,
    finished: bool,
}

/// The writer; see the module.
#[derive(Debug)]
pub struct Writer {
    path: PathBuf,
    status: Arc<Mutex<WriterStatus>>,
    library: Option<(Library, WriterLock)>,
    pending: BTreeMap<TakeId, PendingTake>,
    puts: Vec<StoredTake>,
    labels: BTreeMap<TakeId, Labels>,
    /// Labels of takes that are not in the library yet.
    early_labels: BTreeMap<TakeId, Labels>,
    discarded: Vec<TakeId>,
    entries: VecDeque<CatalogEntry>,
    /// Takes that this writer is recording in this file.
    begun: HashSet<TakeId>,
    failed: Option<Instant>,
    heartbeat: Instant,
    sidecars: Sidecars,
}

impl Writer {
    /// A writer into the library at `path`.
    pub fn new(path: PathBuf, status: Arc<Mutex<WriterStatus>>) -> Self {
        Self {
            sidecars: Sidecars::beside(&path),
            path,
            status,
            library: None,
            pending: BTreeMap::new(),
            puts: Vec::new(),
            labels: BTreeMap::new(),
            early_labels: BTreeMap::new(),
            discarded: Vec::new(),
            entries: VecDeque::new(),
            begun: HashSet::new(),
            failed: None,
            heartbeat: Instant::now(),
        }
    }

    /// Writes until the recorder is dropped.
    pub fn run(mut self, messages: &Receiver<Message>) {
        if location::is_sidecar(&self.path) {
            lock(&self.status).notices.push(SIDECAR.to_owned());
        }
        // Opened at once, so that recovered takes are offered before anything is played.
        self.write();
        loop {
            let timeout = if self.can_merge_sidecars() { Duration::ZERO } else { RETRY_AFTER };
            match messages.recv_timeout(timeout) {
                Ok(message) => {
                    self.collect(message);
                    while let Ok(message) = messages.try_recv() {
                        self.collect(message);
                    }
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            if self.failed.is_none_or(|failed| failed.elapsed() >= RETRY_AFTER) {
                self.write();
            }
            self.merge_sidecars();
        }
        let end = Instant::now() + LAST_ATTEMPTS;
        self.write();
        while self.failed.is_some() && Instant::now() < end {
            std::thread::sleep(RETRY_AFTER);
            self.write();
        }
    }

    fn collect(&mut self, message: Message) {
        match message {
            Message::Put(takes) => self.puts.extend(takes),
            Message::Discard(id) => {
                self.pending.remove(&id);
                self.labels.remove(&id);
                self.discarded.push(id);
            }
            Message::Enter(entry) => self.entries.push_back(*entry),
            Message::Label(id, labels) => {
                self.labels.insert(id, *labels);
            }
            Message::Grown { header, delta, finished } => {
                let new = || PendingTake { header, chunks: BTreeMap::new(), delta: None, finished };
                let pending = self.pending.entry(header.id).or_insert_with(new);
                pending.finished |= finished;
                if let Some(mut delta) = delta {
                    for chunk in delta.chunks.drain(..) {
                        pending.chunks.insert((chunk.kind, chunk.number), chunk);
                    }
                    pending.delta = Some(*delta);
                }
            }
        }
    }

    fn write(&mut self) {
        match self.try_to_write() {
            Ok(()) => {
                self.failed = None;
                lock(&self.status).health = Health::Well;
            }
            Err(why) => self.fail(&why),
        }
    }

    fn can_merge_sidecars(&self) -> bool {
        self.library.is_some() && self.failed.is_none() && !self.sidecars.is_done()
    }

    fn merge_sidecars(&mut self) {
        if !self.can_merge_sidecars() {
            return;
        }
        let Some((library, _)) = &mut self.library else { return };
        let notices = self.sidecars.merge_batch(library);
        lock(&self.status).notices.extend(notices.unwrap_or_else(|why| vec![why.to_string()]));
        if self.sidecars.is_done() {
            publish_tunes(library, &self.status);
        }
    }

    fn fail(&mut self, why: &LibraryError) {
        self.failed = Some(Instant::now());
        if matches!(why, LibraryError::Damaged(_)) {
            match self.library.take().map(|(library, _)| library.replace_damaged()) {
                Some(Ok(opened)) => self.use_library(opened),
                Some(Err(_)) | None => self.request_all(),
            }
        }
        let message = why.to_string();
        let mut status = lock(&self.status);
        if status.health != Health::Behind(message.clone()) {
            status.notices.push(message.clone());
            status.health = Health::Behind(message);
        }
    }

    fn try_to_write(&mut self) -> Result<(), LibraryError> {
        if self.library.is_some() && !self.path.exists() {
            // The file was removed, with everything written so far.
            self.library = None;
            self.request_all();
        }
        if self.library.is_none() {
            let opened = Library::open(&self.path)?;
            self.use_library(opened);
        }
        let Some((library, writer_lock)) = &mut self.library else { return Ok(()) };
        while let Some(take) = self.puts.last() {
            match library.put(take) {
                Ok(()) => {}
                Err(why) if why.may_pass() => return Err(why),
                Err(why) => lock(&self.status).notices.push(why.to_string()),
            }
            self.puts.pop();
        }
        while let Some((id, pending)) = self.pending.pop_first() {
            if let Err(why) = write_take(library, writer_lock, &mut self.begun, &pending) {
                if matches!(why, LibraryError::Missing) {
                    // It was considered cut off, or removed: it is written again from its start.
                    self.begun.remove(&id);
                    lock(&self.status).rewrite.insert(id);
                    continue;
                }
                self.pending.insert(id, pending);
                return Err(why);
            }
        }
        while let Some(id) = self.discarded.last() {
            if self.begun.contains(id) {
                library.discard(*id, writer_lock)?;
                self.begun.remove(id);
            }
            self.discarded.pop();
        }
        let mut has_tunes = false;
        while let Some(entry) = self.entries.front() {
            match library.put_entry(entry) {
                Err(why) if why.may_pass() => return Err(why),
                Err(why) => lock(&self.status).notices.push(why.to_string()),
                Ok(()) => has_tunes |= matches!(entry, CatalogEntry::Tune(_)),
            }
            self.entries.pop_front();
        }
        if has_tunes {
            publish_tunes(library, &self.status);
        }
        while let Some((id, labels)) = self.labels.pop_first() {
            match library.edit_labels(id, |known| known.later(labels.clone())) {
                Ok(()) => {}
                // It has no notes yet.
                Err(LibraryError::Missing) => {
                    self.early_labels.insert(id, labels);
                }
                Err(why) => {
                    self.labels.insert(id, labels);
                    return Err(why);
                }
            }
        }
        self.labels.append(&mut self.early_labels);
        if self.heartbeat.elapsed() >= HEARTBEAT {
            self.heartbeat = Instant::now();
            // Other programs may have added tunes.
            publish_tunes(library, &self.status);
            library.heartbeat(writer_lock)?;
        }
        Ok(())
    }

    fn use_library(&mut self, opened: OpenedLibrary) {
        let is_new = opened.notices.iter().any(|n| matches!(n, Notice::SetAside { .. }));
        lock(&self.status).notices.extend(opened.notices.iter().map(ToString::to_string));
        if is_new {
            self.request_all();
        }
        publish_tunes(&opened.library, &self.status);
        self.library = Some((opened.library, WriterLock::new(&self.path)));
        // The new lock owns none of the takes begun before.
        self.begun.clear();
    }

    /// Asks the recorder for everything again.
    fn request_all(&mut self) {
        self.begun.clear();
        self.pending.clear();
        let mut status = lock(&self.status);
        status.rewrite_all = true;
        self.entries.extend(status.tunes.iter().cloned().map(CatalogEntry::Tune));
    }
}

/// Publishes the library's tunes. If they cannot be read, the ones before stay.
fn publish_tunes(library: &Library, status: &Mutex<WriterStatus>) {
    if let Ok(tunes) = library.tunes() {
        lock(status).tunes = tunes;
    }
}

fn write_take(
    library: &mut Library,
    writer_lock: &WriterLock,
    begun: &mut HashSet<TakeId>,
    pending: &PendingTake,
) -> Result<(), LibraryError> {
    let id = pending.header.id;
    if let Some(delta) = &pending.delta {
        if !begun.contains(&id) {
            library.begin_take(&pending.header, writer_lock)?;
            begun.insert(id);
        }
        let chunks = pending.chunks.values().cloned().collect();
        library.append(id, &Delta { chunks, ..delta.clone() }, writer_lock)?;
    }
    if pending.finished {
        match library.finish_take(id) {
            // An unreadable take stays in chunks.
            Err(LibraryError::Unreadable(..)) | Ok(()) => {}
            Err(other) => return Err(other),
        }
        begun.remove(&id);
    }
    Ok(())
}
