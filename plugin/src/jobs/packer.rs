//! Packs finished takes on a thread of its own, so that saving, deleting and merging under the session's lock
//! find them packed.

use crate::runtime::job_thread::JobThread;
use overbar_library::take_store::TakeCopy;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};

/// The job.
#[derive(Default)]
pub struct Packer {
    thread: JobThread,
    /// It stays set after an internal error; takes are then packed on demand.
    busy: Arc<AtomicBool>,
}

impl Packer {
    /// Packs a take in the background, unless one is being packed.
    pub fn pack(&self, take: Option<TakeCopy>) {
        let Some(take) = take.filter(|_| !self.busy.load(Relaxed)) else { return };
        self.busy.store(true, Relaxed);
        let busy = self.busy.clone();
        let given = self.thread.run(move || {
            drop(take.pack());
            busy.store(false, Relaxed);
        });
        if given.is_err() {
            // The next take brings another attempt.
            self.busy.store(false, Relaxed);
        }
    }
}
