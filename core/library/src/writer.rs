//! The thread that writes takes: gathers what is told, writes it in short changes, and keeps
//! what cannot be written until it can.

use crate::catalog::Entry;
use crate::chunks::{Kind, Piece};
use crate::delta::Growth;
use crate::error::LibraryError;
use crate::labels::Labels;
use crate::library::{Library, Start};
use crate::merge::Stored;
use crate::merge_sidecars::Others;
use crate::open::Opened;
use crate::place;
use crate::recorder::{Health, Told, whole};
use crate::writer_lock::Owner;
use overbar_core::take::TakeId;
use std::collections::{BTreeMap, HashSet, VecDeque};
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// After something could not be written, the next try.
const TRY_AGAIN: Duration = Duration::from_millis(500);

/// Takes under way are said to be so at least this often.
const HEARTBEAT: Duration = Duration::from_secs(5);

/// How long the end waits for a disk that does not take what is left.
const LAST_TRIES: Duration = Duration::from_secs(1);

/// What the user of a further copy in a process is told.
const OF_ITS_OWN: &str = "Another copy of the plugin in this host has the library, as where both its CLAP \
    and its VST3 are loaded. This one keeps its takes in a file of its own; they come into the library at \
    the next start.";

/// What the recorder tells the writer.
#[derive(Debug)]
pub enum Message {
    /// A take has grown.
    Grown {
        /// Which take.
        start: Start,
        /// What is new.
        growth: Option<Box<Growth>>,
        /// It is over.
        over: bool,
    },
    /// Takes of a project.
    Put(Vec<Stored>),
    /// What was written of a take that came to nothing.
    Forget(TakeId),
    /// What belongs to takes.
    Enter(Box<Entry>),
    /// What the user added to a take.
    Label(TakeId, Box<Labels>),
}

/// What waits to be written of a take.
#[derive(Debug)]
struct Waiting {
    start: Start,
    pieces: BTreeMap<(Kind, usize), Piece>,
    growth: Option<Growth>,
    over: bool,
}

/// The writer; see the module.
#[derive(Debug)]
pub struct Writer {
    path: PathBuf,
    told: Arc<Mutex<Told>>,
    library: Option<(Library, Owner)>,
    waiting: BTreeMap<TakeId, Waiting>,
    puts: Vec<Stored>,
    labels: BTreeMap<TakeId, Labels>,
    forgotten: Vec<TakeId>,
    entries: VecDeque<Entry>,
    /// Labels of takes that are not here yet.
    early: BTreeMap<TakeId, Labels>,
    /// Takes that this writer has begun in this file.
    begun: HashSet<TakeId>,
    failed: Option<Instant>,
    heartbeat: Instant,
    /// What further copies of this code kept, to be brought in.
    others: Others,
}

impl Writer {
    /// For the library at `path`.
    #[must_use]
    pub fn new(path: PathBuf, told: Arc<Mutex<Told>>) -> Self {
        Self {
            others: Others::beside(&path),
            path,
            told,
            library: None,
            waiting: BTreeMap::new(),
            puts: Vec::new(),
            labels: BTreeMap::new(),
            forgotten: Vec::new(),
            entries: VecDeque::new(),
            early: BTreeMap::new(),
            begun: HashSet::new(),
            failed: None,
            heartbeat: Instant::now(),
        }
    }

    /// Writes until no more messages can come.
    pub fn run(mut self, messages: &Receiver<Message>) {
        if place::is_of_further_copy(&self.path) {
            whole(&self.told).notices.push(OF_ITS_OWN.to_owned());
        }
        // Opened at once, so that what was left behind is offered before anything is played.
        self.write();
        loop {
            let patience = if self.has_others_to_bring_in() { Duration::ZERO } else { TRY_AGAIN };
            match messages.recv_timeout(patience) {
                Ok(message) => {
                    self.gather(message);
                    while let Ok(message) = messages.try_recv() {
                        self.gather(message);
                    }
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            if self.failed.is_none_or(|failed| failed.elapsed() >= TRY_AGAIN) {
                self.write();
            }
            self.bring_in_others();
        }
        let end = Instant::now() + LAST_TRIES;
        self.write();
        while self.failed.is_some() && Instant::now() < end {
            std::thread::sleep(TRY_AGAIN);
            self.write();
        }
    }

    fn gather(&mut self, message: Message) {
        match message {
            Message::Put(takes) => self.puts.extend(takes),
            Message::Forget(id) => {
                self.waiting.remove(&id);
                self.labels.remove(&id);
                self.forgotten.push(id);
            }
            Message::Enter(entry) => self.entries.push_back(*entry),
            Message::Label(id, labels) => {
                self.labels.insert(id, *labels);
            }
            Message::Grown { start, growth, over } => {
                let fresh = || Waiting { start, pieces: BTreeMap::new(), growth: None, over };
                let waiting = self.waiting.entry(start.id).or_insert_with(fresh);
                waiting.over |= over;
                if let Some(mut growth) = growth {
                    for piece in growth.pieces.drain(..) {
                        waiting.pieces.insert((piece.kind, piece.number), piece);
                    }
                    waiting.growth = Some(*growth);
                }
            }
        }
    }

    fn write(&mut self) {
        match self.try_to_write() {
            Ok(()) => {
                self.failed = None;
                whole(&self.told).health = Health::Well;
            }
            Err(why) => self.fail(&why),
        }
    }

    fn has_others_to_bring_in(&self) -> bool {
        self.library.is_some() && self.failed.is_none() && !self.others.is_done()
    }

    /// Some of what further copies kept, between what is played.
    fn bring_in_others(&mut self) {
        if !self.has_others_to_bring_in() {
            return;
        }
        let Some((library, _)) = &mut self.library else { return };
        let told = match self.others.bring(library) {
            Ok(told) => told,
            Err(why) => vec![why.to_string()],
        };
        whole(&self.told).notices.extend(told);
        if self.others.is_done() {
            tell_tunes(library, &self.told);
        }
    }

    fn fail(&mut self, why: &LibraryError) {
        self.failed = Some(Instant::now());
        if matches!(why, LibraryError::Damaged(_)) {
            match self.library.take().map(|(library, _)| library.begin_anew()) {
                Some(Ok(opened)) => self.take_up(opened),
                Some(Err(_)) | None => self.all_anew(),
            }
        }
        let message = why.to_string();
        let mut told = whole(&self.told);
        if told.health != Health::Behind(message.clone()) {
            told.notices.push(message.clone());
            told.health = Health::Behind(message);
        }
    }

    fn try_to_write(&mut self) -> Result<(), LibraryError> {
        if self.library.is_some() && !self.path.exists() {
            // Someone removed the file; what was written went with it.
            self.library = None;
            self.all_anew();
        }
        if self.library.is_none() {
            let opened = Library::open(&self.path)?;
            self.take_up(opened);
        }
        let Some((library, owner)) = &mut self.library else { return Ok(()) };
        while let Some(take) = self.puts.last() {
            match library.put(take) {
                Ok(()) => {}
                Err(why) if why.may_pass() => return Err(why),
                Err(why) => whole(&self.told).notices.push(why.to_string()),
            }
            self.puts.pop();
        }
        while let Some((id, waiting)) = self.waiting.pop_first() {
            if let Err(why) = put(library, owner, &mut self.begun, &waiting) {
                if matches!(why, LibraryError::Missing) {
                    // It was thought left behind, or removed: all of it is written anew.
                    self.begun.remove(&id);
                    whole(&self.told).anew.insert(id);
                    continue;
                }
                self.waiting.insert(id, waiting);
                return Err(why);
            }
        }
        while let Some(id) = self.forgotten.last() {
            if self.begun.contains(id) {
                library.forget(*id, owner)?;
                self.begun.remove(id);
            }
            self.forgotten.pop();
        }
        let mut has_tunes = false;
        while let Some(entry) = self.entries.front() {
            match library.put_entry(entry) {
                Err(why) if why.may_pass() => return Err(why),
                Err(why) => whole(&self.told).notices.push(why.to_string()),
                Ok(()) => has_tunes |= matches!(entry, Entry::Tune(_)),
            }
            self.entries.pop_front();
        }
        if has_tunes {
            tell_tunes(library, &self.told);
        }
        while let Some((id, labels)) = self.labels.pop_first() {
            match library.label_later(id, labels.clone()) {
                Ok(()) => {}
                // It has no note here yet, and is labelled when it has.
                Err(LibraryError::Missing) => {
                    self.early.insert(id, labels);
                }
                Err(why) => {
                    self.labels.insert(id, labels);
                    return Err(why);
                }
            }
        }
        self.labels.append(&mut self.early);
        if self.heartbeat.elapsed() >= HEARTBEAT {
            self.heartbeat = Instant::now();
            // Others may have put some in.
            tell_tunes(library, &self.told);
            library.beat_heart(owner)?;
        }
        Ok(())
    }

    fn take_up(&mut self, opened: Opened) {
        let set_aside =
            opened.notices.iter().any(|n| matches!(n, crate::open::Notice::SetAside { .. }));
        whole(&self.told).notices.extend(opened.notices.iter().map(ToString::to_string));
        if set_aside {
            self.all_anew();
        }
        tell_tunes(&opened.library, &self.told);
        self.library = Some((opened.library, Owner::new(&self.path)));
        // Another owner writes what this one began.
        self.begun.clear();
    }

    /// Asks for everything once more.
    fn all_anew(&mut self) {
        self.begun.clear();
        self.waiting.clear();
        let mut told = whole(&self.told);
        told.all_anew = true;
        self.entries.extend(told.tunes.iter().cloned().map(Entry::Tune));
    }
}

/// Tells which tunes the library has. Where they cannot be read just now, those before stand.
fn tell_tunes(library: &Library, told: &Mutex<Told>) {
    if let Ok(tunes) = library.tunes() {
        whole(told).tunes = tunes;
    }
}

fn put(
    library: &mut Library,
    owner: &Owner,
    begun: &mut HashSet<TakeId>,
    waiting: &Waiting,
) -> Result<(), LibraryError> {
    let id = waiting.start.id;
    if let Some(growth) = &waiting.growth {
        if !begun.contains(&id) {
            library.begin_take(&waiting.start, owner)?;
            begun.insert(id);
        }
        let pieces = waiting.pieces.values().cloned().collect();
        library.append(id, &Growth { pieces, ..growth.clone() }, owner)?;
    }
    if waiting.over {
        match library.finish_take(id) {
            // What could not be read would stay as it is.
            Err(LibraryError::Unreadable(..)) | Ok(()) => {}
            Err(other) => return Err(other),
        }
        begun.remove(&id);
    }
    Ok(())
}
