//! Locks between the plugin's own threads. Never for the audio thread.

use std::sync::{Mutex, MutexGuard, PoisonError};

/// What `mutex` guards, also where a thread panicked while it held it. Whoever guards something so
/// sees to it that it is whole at any moment (each change is a single assignment), or is made anew
/// after a panic.
pub fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
