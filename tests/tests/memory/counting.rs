//! An allocator that counts what is allocated.

use std::alloc::{GlobalAlloc, Layout, System};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

struct Counting;

#[global_allocator]
static COUNTING: Counting = Counting;

static NOW: AtomicUsize = AtomicUsize::new(0);
static PEAK: AtomicUsize = AtomicUsize::new(0);

fn more(bytes: usize) {
    let now = NOW.fetch_add(bytes, Relaxed) + bytes;
    PEAK.fetch_max(now, Relaxed);
}

fn less(bytes: usize) {
    NOW.fetch_sub(bytes, Relaxed);
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

/// Bytes allocated now.
pub fn now() -> usize {
    NOW.load(Relaxed)
}

/// The most bytes allocated since [`begin`].
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
