//! Writes takes into the library as they are played.
//!
//! A recorder is looked after by whoever holds the session, a few times a second:
//!
//! ```no_run
//! # use overbar_core::take::Take;
//! # use overbar_library::recorder::Recorder;
//! # fn round(recorder: &mut Recorder, takes: &[Take], current: Option<&Take>) {
//! if recorder.is_due() {
//!     recorder.look(takes, current);
//! }
//! for message in recorder.notices() {
//!     // To be shown in the panel.
//! #   drop(message);
//! }
//! # }
//! ```
//!
//! A look copies what is new and returns; the disk is the business of a thread of its own. What
//! cannot be written is kept and tried again, for as long as the recorder lives. Never call it
//! from the audio thread: a look allocates.

use crate::catalog::Entry;
use crate::delta::Seen;
use crate::labels::Labels;
use crate::library::{Origin, Start};
use crate::merge::Stored;
use crate::stamp::Stamp;
use crate::tune::Tune;
use crate::writer::{Message, Writer};
use overbar_core::take::{Take, TakeId};
use std::collections::{HashMap, HashSet};
use std::path::PathBuf;
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{Builder, JoinHandle};
use std::time::{Duration, Instant};

/// Between looks. With the time to write, what is played is on disk well within a second.
pub const LOOK_EVERY: Duration = Duration::from_millis(250);

/// Whether takes come to the disk.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Health {
    /// They do, or there is nothing to write yet.
    #[default]
    Well,
    /// They are kept in memory and tried again; why, in a sentence for the user.
    Behind(String),
}

/// What the writer tells the recorder.
#[derive(Debug, Default)]
pub(crate) struct Told {
    pub health: Health,
    pub notices: Vec<String>,
    /// The tunes in the library.
    pub tunes: Vec<Tune>,
    /// Takes that have to be written from their start.
    pub anew: HashSet<TakeId>,
    /// So has everything: the file is a new one.
    pub all_anew: bool,
}

/// Writes takes as they are played; see the module.
#[derive(Debug)]
pub struct Recorder {
    to_writer: Option<Sender<Message>>,
    thread: Option<JoinHandle<()>>,
    told: Arc<Mutex<Told>>,
    under_way: HashMap<TakeId, (Start, Seen)>,
    over: HashSet<TakeId>,
    looked: Option<Instant>,
}

impl Recorder {
    /// Writes into the library at `path`, which is opened, or begun, on a thread of the
    /// recorder's own; so this returns at once, and an error is told by [`Recorder::health`].
    ///
    /// # Errors
    /// If the system gives no thread.
    pub fn start(path: PathBuf) -> std::io::Result<Self> {
        let told = Arc::<Mutex<Told>>::default();
        let (to_writer, messages) = channel();
        let thread = Builder::new().name("overbar library".to_owned()).spawn({
            let told = told.clone();
            move || Writer::new(path, told).run(&messages)
        })?;
        Ok(Self {
            to_writer: Some(to_writer),
            thread: Some(thread),
            told,
            under_way: HashMap::new(),
            over: HashSet::new(),
            looked: None,
        })
    }

    /// Whether the last look was [`LOOK_EVERY`] ago.
    #[must_use]
    pub fn is_due(&self) -> bool {
        self.looked.is_none_or(|looked| looked.elapsed() >= LOOK_EVERY)
    }

    /// Looks at the takes that are over and at the one under way, and sees to it that what is
    /// new is written. Costs about 10 ns a note of the take under way.
    pub fn look(&mut self, over: &[Take], current: Option<&Take>) {
        self.looked = Some(Instant::now());
        self.begin_anew_what_has_to();
        for take in over {
            if !self.over.contains(&take.id) {
                self.send(take, true);
                self.over.insert(take.id);
                self.under_way.remove(&take.id);
            }
        }
        if let Some(take) = current {
            self.send(take, false);
        }
        // A pass that came to nothing, such as a playback of what is known.
        let is_there = |id: &TakeId| {
            self.over.contains(id) || current.is_some_and(|current| current.id == *id)
        };
        let gone: Vec<TakeId> = self.under_way.keys().filter(|id| !is_there(id)).copied().collect();
        for id in gone {
            self.under_way.remove(&id);
            self.tell(Message::Forget(id));
        }
    }

    /// The last look: the take under way ends here.
    pub fn close(mut self, over: &[Take], current: Option<&Take>) {
        self.look(over, current);
        if let Some(take) = current {
            self.send(take, true);
        }
    }

    /// Brings takes of a project together with the library's; they are not written again as
    /// they are met in the session.
    pub fn put(&mut self, takes: Vec<Stored>) {
        self.over.extend(takes.iter().map(|take| take.id));
        self.tell(Message::Put(takes));
    }

    /// Writes what the user added to a take: each label as it was last changed, here or there.
    pub fn label(&mut self, id: TakeId, labels: Labels) {
        self.tell(Message::Label(id, Box::new(labels)));
    }

    /// Writes what belongs to takes.
    pub fn enter(&mut self, entry: Entry) {
        self.tell(Message::Enter(Box::new(entry)));
    }

    /// Whether takes come to the disk.
    #[must_use]
    pub fn health(&self) -> Health {
        whole(&self.told).health.clone()
    }

    /// What the user should be told, each once.
    #[must_use]
    pub fn notices(&self) -> Vec<String> {
        core::mem::take(&mut whole(&self.told).notices)
    }

    /// The tunes in the library, as this recorder has met them there; none before it is open.
    #[must_use]
    pub fn tunes(&self) -> Vec<Tune> {
        whole(&self.told).tunes.clone()
    }

    fn send(&mut self, take: &Take, over: bool) {
        let start = Start { id: take.id, began: Stamp::now(), origin: Origin::Played };
        let (start, seen) = self.under_way.entry(take.id).or_insert((start, Seen::default()));
        let growth = seen.look(&take.performance);
        if growth.is_some() || over {
            let message = Message::Grown { start: *start, growth: growth.map(Box::new), over };
            self.tell(message);
        }
    }

    fn begin_anew_what_has_to(&mut self) {
        let (anew, all) = {
            let mut told = whole(&self.told);
            (core::mem::take(&mut told.anew), core::mem::take(&mut told.all_anew))
        };
        for (id, (_, seen)) in &mut self.under_way {
            if all || anew.contains(id) {
                *seen = Seen::default();
            }
        }
        self.over.retain(|id| !(all || anew.contains(id)));
    }

    fn tell(&self, message: Message) {
        let heard = self.to_writer.as_ref().is_some_and(|to| to.send(message).is_ok());
        if !heard {
            let why = "The library's writer has ended: takes are kept in memory only.";
            whole(&self.told).health = Health::Behind(why.to_owned());
        }
    }
}

impl Drop for Recorder {
    /// Waits until what is known is written, as long as that takes a healthy disk.
    fn drop(&mut self) {
        self.to_writer = None;
        if let Some(thread) = self.thread.take()
            && thread.join().is_err()
        {
            // It panicked, and the panic hook has told of it.
        }
    }
}

/// Every change under the lock is a single assignment, so what a panic left behind is whole.
pub(crate) fn whole(told: &Mutex<Told>) -> MutexGuard<'_, Told> {
    told.lock().unwrap_or_else(PoisonError::into_inner)
}
