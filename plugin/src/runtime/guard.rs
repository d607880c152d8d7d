//! Keeps a panic of ours from reaching the host: the framework has no such guard, and a panic
//! across its boundary ends the host's process.

use std::panic::{AssertUnwindSafe, catch_unwind};

/// Runs `body`; `None` if it panicked.
///
/// # Realtime safety
/// Adds nothing to `body` as long as it does not panic.
pub fn guard<T>(body: impl FnOnce() -> T) -> Option<T> {
    // Whatever `body` leaves half done is restarted or harmless; each caller says why.
    catch_unwind(AssertUnwindSafe(body)).ok()
}

#[cfg(test)]
mod tests {
    use crate::runtime::guard::guard;

    #[test]
    fn a_panic_is_contained() {
        let mut done = Vec::new();
        for step in 0..3 {
            let kept = guard(|| {
                assert!(step != 1, "injected");
                step
            });
            done.push(kept);
        }
        assert_eq!(done, [Some(0), None, Some(2)]);
    }
}
