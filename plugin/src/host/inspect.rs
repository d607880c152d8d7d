//! Lets tests look inside an instance that a host has made.

use crate::worker::shared::Shared;
use std::cell::RefCell;
use std::sync::{Arc, Weak};

thread_local! {
    static LAST: RefCell<Weak<Shared>> = const { RefCell::new(Weak::new()) };
}

/// Remembers the newest instance of this thread.
pub(crate) fn made(shared: &Arc<Shared>) {
    LAST.set(Arc::downgrade(shared));
}

/// The shared state of the newest instance of this thread, if it still exists.
pub fn last_made_here() -> Option<Arc<Shared>> {
    LAST.with_borrow(Weak::upgrade)
}
