//! Keeps a panic of ours from reaching the host: the framework has no such guard, and a panic
//! across its boundary ends the host's process.

use std::panic::{AssertUnwindSafe, catch_unwind};

/// Runs `body`; `None` if it panicked.
///
/// # Realtime safety
/// Adds nothing to `body` as long as it does not panic.
pub fn guard<T>(body: impl FnOnce() -> T) -> Option<T> {
    // What `body` leaves half done is begun anew or harmless; each caller says why.
    catch_unwind(AssertUnwindSafe(body)).ok()
}
