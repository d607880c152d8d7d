//! Locks between the plugin's own threads. Never for the audio thread.

use std::sync::{Mutex, MutexGuard, PoisonError};

/// Locks `mutex`, even if a thread panicked while holding it. Every value locked like this is either
/// consistent at any moment, because each change is a single assignment, or rebuilt after a panic.
pub fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
