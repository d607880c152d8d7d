//! Lets tests look inside an instance that a host has made.

use crate::worker::shared::Shared;
use std::cell::RefCell;
use std::sync::{Arc, Weak};

thread_local! {
    static LAST: RefCell<Weak<Shared>> = const { RefCell::new(Weak::new()) };
}

/// Remembers the instance last made on this thread.
pub(crate) fn made(shared: &Arc<Shared>) {
    LAST.set(Arc::downgrade(shared));
}

/// What the instance last made on this thread shares, if it still lives.
pub fn last_made_here() -> Option<Arc<Shared>> {
    LAST.with_borrow(Weak::upgrade)
}
