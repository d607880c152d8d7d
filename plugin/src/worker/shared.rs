//! What the plugin's threads share, a part for each pair of them. The audio thread only uses [`AudioLink`].
//!
//! Locks are taken in the order session, take store, view model.

use crate::audio::link::{AudioEnd, AudioLink};
use crate::command::Command;
use crate::jobs::drill_past::DrillPastJob;
use crate::jobs::library_browser::LibraryBrowser;
use crate::jobs::progress_job::ProgressJob;
use crate::practice::Practice;
use crate::runtime::lock::lock;
use crate::worker::live_session::LiveSession;
use crate::worker::panel_link::PanelLink;
use crate::worker::publisher::Publisher;
use overbar_core::session::Session;
use overbar_library::take_store::TakeStore;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};
use std::sync::{Arc, Mutex, MutexGuard};

/// The shared state of an instance.
pub struct Shared {
    /// Between the audio thread and the worker.
    pub audio: Arc<AudioLink>,
    /// Between worker and panel.
    pub panel: PanelLink,
    /// Makes the view model.
    pub publisher: Publisher,
    /// Searches the library.
    pub library: LibraryBrowser,
    /// Progress over days and weeks.
    pub progress: ProgressJob,
    /// Earlier results of the current drill.
    pub drill_past: DrillPastJob,
    /// Drills.
    pub practice: Practice,
    session: Mutex<LiveSession>,
    take_store: Mutex<TakeStore>,
    /// The last value of the mark parameter.
    mark: AtomicBool,
    /// Faults to inject.
    #[cfg(feature = "faults")]
    pub faults: crate::runtime::faults::Faults,
}

impl Default for Shared {
    /// Without an audio thread: nothing arrives through the queue.
    fn default() -> Self {
        Self::new(false).0
    }
}

impl Shared {
    /// The shared state, and the audio thread's end of it, with queues for audio if it `listens`.
    pub fn new(listens: bool) -> (Self, AudioEnd) {
        let (audio, audio_end, worker_end) = AudioLink::open(listens);
        let shared = Self {
            audio,
            panel: PanelLink::default(),
            publisher: Publisher::default(),
            library: LibraryBrowser::default(),
            progress: ProgressJob::default(),
            drill_past: DrillPastJob::default(),
            practice: Practice::default(),
            session: Mutex::new(LiveSession::new(worker_end)),
            take_store: Mutex::default(),
            mark: AtomicBool::new(false),
            #[cfg(feature = "faults")]
            faults: crate::runtime::faults::Faults::default(),
        };
        (shared, audio_end)
    }

    /// The session and the queue's end, for the worker and the saved state.
    pub fn session(&self) -> MutexGuard<'_, LiveSession> {
        lock(&self.session)
    }

    /// Take metadata and the library's writer. Lock the session first where both are needed.
    pub fn take_store(&self) -> MutexGuard<'_, TakeStore> {
        lock(&self.take_store)
    }

    /// Hands what is new in `session` to the library, if that is due.
    pub fn store_takes(&self, session: &Session) {
        let mut store = self.take_store();
        if store.is_due() {
            self.label_takes(session, &mut store);
            store.record(session);
            self.publisher.packer.pack(store.unpacked(session));
            store.notices().into_iter().for_each(|message| self.panel.notice(message));
        }
    }

    /// Stops storing takes; see [`TakeStore::close`].
    pub fn close(&self, session: &Session) {
        let mut store = self.take_store();
        self.label_takes(session, &mut store);
        store.close(session);
    }

    /// Labels takes with tune and player, and adds drill results.
    fn label_takes(&self, session: &Session, store: &mut TakeStore) {
        let playing = self.publisher.tune().playing();
        store.set_playing(session, playing);
        for result in self.practice.take_results() {
            store.record_drill(&result.drill, result.practised());
        }
    }

    /// Follows the mark parameter: switching it on marks the current position.
    pub fn follow_mark(&self, on: bool) {
        if !self.mark.swap(on, Relaxed) && on {
            self.panel.send(Command::Mark);
        }
    }

    /// Puts finished takes on the beats that have been settled for them; returns whether there were any.
    pub fn settle_grids(&self, session: &mut LiveSession) -> bool {
        let mut any = false;
        while let Some(settled) = session.settled() {
            self.take_store().settle_grid(session, settled.take, settled.anchors);
            self.publisher.keep_band_strength(settled.take, settled.strength);
            any = true;
        }
        any
    }

    /// Applies waiting commands and collects the results of jobs; returns whether there were any.
    pub fn apply_commands(&self, session: &mut Session) -> bool {
        let mut commands = self.panel.take_commands();
        commands.extend(self.publisher.system.dialog.command().map(Command::Compare));
        let fetched = self.library.fetched();
        let any = !commands.is_empty() || !fetched.is_empty();
        let mut store = self.take_store();
        if any {
            store.sync(session);
            for command in commands {
                if let Err(why) = command.apply(session, &mut store, &self.publisher) {
                    self.panel.notice(why.to_string());
                }
            }
            for take in fetched {
                match take.map(|take| store.load_opened(session, take)) {
                    Ok(messages) => messages.into_iter().for_each(|m| self.panel.notice(m)),
                    Err(why) => self.panel.notice(why.to_string()),
                }
            }
            store.sync_corrections(session);
        }
        self.publisher.hear.watch();
        self.publisher.system.notices().into_iter().for_each(|message| self.panel.notice(message));
        let imported = self.publisher.files.collect(session, &mut store);
        let split = self.publisher.split(session, &mut store).unwrap_or_else(|why| {
            self.panel.notice(why.to_string());
            false
        });
        self.practice.apply_commands(session) || any || imported || split
    }

    /// Publishes a snapshot of `session`.
    pub fn publish(&self, session: &mut Session) {
        if self.publisher.reader.is_awaited(session) || session.is_behind() {
            // It is published as soon as it has been analysed.
            return;
        }
        let snapshot = session.snapshot();
        self.practice.publish(session);
        self.panel.publish(snapshot);
    }

    /// Publishes a new view model after a command, or when one is due; returns whether it did.
    pub fn publish_view_model(&self, session: &mut Session, commanded: bool) -> bool {
        let wanted = self.panel.takes_wanted();
        let due = commanded || self.publisher.is_due(session, wanted);
        if due {
            let mut store = self.take_store();
            store.sync(session);
            self.publisher.publish(session, &store, wanted);
        }
        due
    }
}
