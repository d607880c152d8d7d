//! The worker thread: feeds queued events to the session, applies the panel's commands, hands takes
//! to the library, and publishes snapshot and view model. It polls, because waking a thread from
//! the audio thread is a system call.

mod apply;
mod band_listener;
mod band_sound;
mod band_source;
mod bands;
mod beside;
pub(crate) mod listener;
pub(crate) mod live_session;
pub mod panel_link;
pub mod publisher;
pub mod shared;

use crate::runtime::guard::guard;
use crate::view_model::input::Role;
use crate::worker::shared::Shared;
use overbar_core::session::own_beat::BeatSource;
use overbar_core::take::settings::Settings;
use overbar_core::transcription::TrackerSettings;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};
use std::thread::{Builder, JoinHandle};
use std::time::Duration;

/// Interval between rounds: well under the 20 ms from a note to the panel's figures.
const POLL: Duration = Duration::from_millis(4);

/// Events processed under one hold of the session's lock, so that a flood does not delay saving.
const BATCH: usize = 1_024;

/// Notes of the current take that are reanalysed under one hold of the lock. The worker then rests as after
/// any round, so that others get the lock.
const ANEW: usize = 512;

/// The parameters that the worker uses.
#[derive(Debug, Clone, Copy)]
pub struct ParameterValues {
    /// The analysis settings.
    pub settings: Settings,
    /// The drill parameter.
    pub drill: i32,
    /// The mark parameter.
    pub mark: bool,
    /// The beat source.
    pub beat_source: BeatSource,
    /// Pairs a band with its soloists; 0 for no pair.
    pub pair: u8,
    /// Whom the instance listens to, if there is sound.
    pub role: Role,
    /// The audio settings.
    pub tracker: TrackerSettings,
}

/// A running worker; stops when dropped.
pub struct Worker {
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Worker {
    /// Starts a worker.
    ///
    /// If the system cannot start a thread.
    /// If the system gives no thread.
    pub fn start(
        shared: Arc<Shared>,
        parameters: impl Fn() -> ParameterValues + Send + 'static,
    ) -> std::io::Result<Self> {
        let stop = Arc::new(AtomicBool::new(false));
        let thread = Builder::new().name("overbar worker".to_owned()).spawn({
            let stop = stop.clone();
            move || {
                while !stop.load(Relaxed) {
                    #[cfg(feature = "faults")]
                    shared.faults.pass(crate::runtime::faults::FaultPoint::Worker);
                    if !round(&shared, &parameters) {
                        std::thread::sleep(POLL);
                    }
                }
                // Whatever is still queued belongs to the takes.
                while round(&shared, &parameters) {}
                let mut session = shared.session();
                session.process_rest();
                shared.close(&session);
            }
        })?;
        Ok(Self { stop, thread: Some(thread) })
    }

    /// Whether its thread has died, which only a system fault causes.
    pub fn is_dead(&self) -> bool {
        self.thread.as_ref().is_none_or(JoinHandle::is_finished)
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        self.stop.store(true, Relaxed);
        if let Some(thread) = self.thread.take()
            && thread.join().is_err()
        {
            // It panicked outside the guard; the panic hook has already reported it.
        }
    }
}

/// One round, which holds the session's lock; returns whether more may be waiting.
pub fn round(shared: &Shared, parameters: &impl Fn() -> ParameterValues) -> bool {
    guard(|| process(shared, &parameters())).unwrap_or_else(|| {
        // The notes are intact; the analysis may be half updated and is restarted.
        shared.session().restart();
        shared
            .panel
            .notice("Analysis restarted after an error; the current take ends here.".to_owned());
        false
    })
}

fn process(shared: &Shared, parameters: &ParameterValues) -> bool {
    let mut session = shared.session();
    #[cfg(feature = "faults")]
    shared.faults.pass(crate::runtime::faults::FaultPoint::Analysis);
    // Commands wait for the drill to hear what was played before them.
    let is_free = session.pending_take().is_none();
    let settings_changed = is_free && *session.settings() != parameters.settings;
    if settings_changed {
        session.set(parameters.settings);
    }
    if is_free {
        session.follow(parameters);
    }
    let processed = session.process_queued(BATCH);
    if let Some(input) = session.input() {
        shared.panel.set_input(input);
    }
    shared.practice.follow_parameter(parameters.drill);
    shared.follow_mark(parameters.mark);
    let commanded = session.pending_take().is_none() && shared.apply_commands(&mut session);
    let settled = shared.settle_grids(&mut session);
    let read = shared.publisher.read(&mut session, shared.panel.takes_wanted());
    let taught = shared.publisher.reader.teach(&mut session);
    let caught_up = session.is_behind() && session.catch_up(ANEW);
    shared.store_takes(&session);
    let published =
        shared.publish_view_model(&mut session, commanded || settled || settings_changed);
    let has_news = settings_changed
        || processed.events > 0
        || commanded
        || settled
        || read
        || taught
        || caught_up;
    if has_news || published {
        shared.publish(&mut session);
    }
    processed.more || read
}
