//! An allocator that counts what is allocated: by the whole process, and by each thread.
//!
//! The test runner has a thread of its own, which allocates beside a test. A test that must see no allocation at all looks at
//! its own thread.

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

struct Counting;

#[global_allocator]
static COUNTING: Counting = Counting;

static NOW: AtomicUsize = AtomicUsize::new(0);
static PEAK: AtomicUsize = AtomicUsize::new(0);

/// What one thread has allocated, less what it has freed, and how often it did either.
///
/// The bytes can be negative: a thread may free what another one allocated.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ThreadCount {
    /// Bytes allocated less bytes freed.
    pub bytes: isize,
    /// Calls of the allocator.
    pub calls: usize,
}

thread_local! {
    // A constant with nothing to drop needs no set-up that would allocate in turn.
    static THREAD: Cell<ThreadCount> = const { Cell::new(ThreadCount { bytes: 0, calls: 0 }) };
}

fn more(bytes: usize) {
    let now = NOW.fetch_add(bytes, Relaxed) + bytes;
    PEAK.fetch_max(now, Relaxed);
    count_in_thread(bytes.cast_signed());
}

fn less(bytes: usize) {
    NOW.fetch_sub(bytes, Relaxed);
    count_in_thread(-bytes.cast_signed());
}

fn count_in_thread(bytes: isize) {
    let count = THREAD.get();
    THREAD.set(ThreadCount { bytes: count.bytes + bytes, calls: count.calls + 1 });
}

// SAFETY: everything is handed on to the system's allocator as it came.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        more(layout.size());
        // SAFETY: the caller's promises are those of the system's allocator.
        unsafe { System.alloc(layout) }
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        more(layout.size());
        // SAFETY: as above.
        unsafe { System.alloc_zeroed(layout) }
    }

    unsafe fn dealloc(&self, place: *mut u8, layout: Layout) {
        less(layout.size());
        // SAFETY: as above.
        unsafe { System.dealloc(place, layout) }
    }

    unsafe fn realloc(&self, place: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        less(layout.size());
        more(size);
        // SAFETY: as above.
        unsafe { System.realloc(place, layout, size) }
    }
}

/// What this thread has allocated until now.
pub fn of_this_thread() -> ThreadCount {
    THREAD.get()
}

/// Bytes that the process has allocated now.
pub fn now() -> usize {
    NOW.load(Relaxed)
}

/// The most bytes that the process has allocated since [`begin`].
pub fn peak() -> usize {
    PEAK.load(Relaxed)
}

/// Restarts the count of the peak.
pub fn begin() {
    PEAK.store(now(), Relaxed);
}

/// Bytes that the process holds in memory; `None` where the system does not tell.
pub fn resident() -> Option<usize> {
    let pages = std::fs::read_to_string("/proc/self/statm").ok()?;
    Some(pages.split_whitespace().nth(1)?.parse::<usize>().ok()? * 4_096)
}
