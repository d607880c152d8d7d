//! The worker: takes events from the queue, lets the session hear them, does what the panel asks
//! of it, publishes snapshots.
//!
//! It polls, because waking a thread from the audio thread is a system call.

pub mod shared;

use crate::host::params::OverbarParams;
use crate::runtime::guard::guard;
use crate::worker::shared::Shared;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};
use std::thread::{Builder, JoinHandle};
use std::time::Duration;

/// Between looks at the queue: well under the 20 ms from a note to the panel's figures.
const POLL: Duration = Duration::from_millis(4);

/// Events heard under one hold of the session's lock, so that a flood cannot keep the saved
/// state waiting.
const BATCH: usize = 1_024;

/// A running worker; stops when dropped.
pub struct Worker {
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Worker {
    /// Starts one.
    ///
    /// # Errors
    /// If the system gives no thread.
    pub fn start(shared: Arc<Shared>, params: Arc<OverbarParams>) -> std::io::Result<Self> {
        let stop = Arc::new(AtomicBool::new(false));
        let thread = Builder::new().name("overbar worker".to_owned()).spawn({
            let stop = stop.clone();
            move || {
                while !stop.load(Relaxed) {
                    #[cfg(feature = "faults")]
                    shared.faults.pass(crate::runtime::faults::Place::Worker);
                    if !round(&shared, &params) {
                        std::thread::sleep(POLL);
                    }
                }
                // What is still queued belongs to the takes.
                while round(&shared, &params) {}
                let session = shared.session();
                shared.close(&session);
            }
        })?;
        Ok(Self { stop, thread: Some(thread) })
    }

    /// Whether its thread has ended, which only a fault of the system could bring about.
    #[must_use]
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
            // It panicked outside the guard and has already been told of by the panic hook.
        }
    }
}

/// One look at settings and queue; whether there may be more to do at once.
fn round(shared: &Shared, params: &OverbarParams) -> bool {
    guard(|| hear(shared, params)).unwrap_or_else(|| {
        // What was played is whole; what was made of it may be half changed and is made anew.
        shared.session().begin_anew();
        shared.notice(
            "The analysis met an error and began anew; the take under way was ended there."
                .to_owned(),
        );
        false
    })
}

fn hear(shared: &Shared, params: &OverbarParams) -> bool {
    let mut session = shared.session();
    #[cfg(feature = "faults")]
    shared.faults.pass(crate::runtime::faults::Place::Analysis);
    let settings = params.settings();
    let settings_changed = *session.settings() != settings;
    session.set(settings);
    let heard = shared.hear_queued(&mut session, BATCH);
    shared.practice.follow_parameter(params.drill.value());
    shared.follow_mark(params.mark.value());
    let asked = shared.do_what_was_asked(&mut session);
    let read = shared.takes_wanted() && session.read_a_take();
    shared.keep(&session);
    let laid_out = shared.lay_out(&session, asked || settings_changed);
    if settings_changed || heard > 0 || asked || read || laid_out {
        shared.publish(&mut session);
    }
    heard == BATCH || read
}
