//! Coverage counters of a build with LLVM's SanitizerCoverage, which `cargo xtask fuzz` makes. A build
//! without it has none, and is fuzzed unguided.

use std::sync::Mutex;
use std::sync::atomic::{AtomicU8, Ordering};

/// The counters of each object file: one for each edge of the program, counting how often it was taken.
static COUNTERS: Mutex<Vec<&'static [AtomicU8]>> = Mutex::new(Vec::new());

/// LLVM calls this at the start of the program, once for each object file.
///
/// # Safety
/// `start` to `stop` are counters that live as long as the program.
// SAFETY: the name is LLVM's, and nothing else defines it.
#[unsafe(no_mangle)]
unsafe extern "C" fn __sanitizer_cov_8bit_counters_init(
    start: *const AtomicU8,
    stop: *const AtomicU8,
) {
    let length = (stop as usize).saturating_sub(start as usize);
    // SAFETY: as this function requires; other threads count at the same time, so bytes are atomic.
    let counters = unsafe { std::slice::from_raw_parts(start, length) };
    if let Ok(mut all) = COUNTERS.lock() {
        all.push(counters);
    }
}

/// LLVM calls this with the table of edges, which is not needed.
// SAFETY: the name is LLVM's, and nothing else defines it.
#[unsafe(no_mangle)]
extern "C" fn __sanitizer_cov_pcs_init(_start: *const usize, _stop: *const usize) {}

/// The coverage so far.
#[derive(Debug)]
pub struct Coverage {
    counters: Vec<&'static [AtomicU8]>,
    /// For each counter a bit per order of magnitude that it reached.
    seen: Vec<u8>,
}

impl Coverage {
    /// Nothing yet.
    pub fn new() -> Self {
        let counters = COUNTERS.lock().map(|all| all.clone()).unwrap_or_default();
        let count = counters.iter().map(|counters| counters.len()).sum();
        Self { counters, seen: vec![0; count] }
    }

    /// Whether this build counts coverage.
    pub fn guides(&self) -> bool {
        !self.seen.is_empty()
    }

    /// Takes the counts since the last call: whether any edge was taken for the first time, or an order of
    /// magnitude more or less often than before.
    pub fn is_new(&mut self) -> bool {
        let mut new = false;
        let counters = self.counters.iter().flat_map(|counters| counters.iter());
        for (counter, seen) in counters.zip(&mut self.seen) {
            if counter.load(Ordering::Relaxed) > 0 {
                let magnitude = 1 << counter.swap(0, Ordering::Relaxed).max(1).ilog2();
                new |= *seen & magnitude == 0;
                *seen |= magnitude;
            }
        }
        new
    }
}
