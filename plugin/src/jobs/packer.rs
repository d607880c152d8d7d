//! Packs takes that are over on a thread of its own, so that whoever saves, deletes or merges them under
//! the session's lock finds them packed.

use crate::runtime::job_thread::JobThread;
use overbar_library::take_store::TakeCopy;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};

/// See the module.
#[derive(Default)]
pub struct Packer {
    thread: JobThread,
    /// After an error of ours it stays so, and whoever needs a take packed packs it.
    busy: Arc<AtomicBool>,
}

impl Packer {
    /// Has a take packed, unless one is being packed.
    pub fn pack(&self, take: Option<TakeCopy>) {
        let Some(take) = take.filter(|_| !self.busy.load(Relaxed)) else { return };
        self.busy.store(true, Relaxed);
        let busy = self.busy.clone();
        let given = self.thread.run(move || {
            drop(take.pack());
            busy.store(false, Relaxed);
        });
        if given.is_err() {
            // Asked again with the next take.
            self.busy.store(false, Relaxed);
        }
    }
}
