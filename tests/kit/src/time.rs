//! How long work takes, whatever else the machine is doing.

use std::time::{Duration, Instant};

/// A moment in this thread's processor time; on systems that do not tell it, by the clock.
pub struct Busy {
    clock: Instant,
    processor: Option<Duration>,
}

impl Busy {
    /// This moment.
    #[must_use]
    pub fn now() -> Self {
        let processor = processor();
        Self { clock: Instant::now(), processor }
    }

    /// Time since then.
    #[must_use]
    pub fn elapsed(&self) -> Duration {
        let elapsed = self.clock.elapsed();
        match (self.processor, processor()) {
            (Some(before), Some(now)) => elapsed.min(now - before),
            _ => elapsed,
        }
    }
}

/// Linux: the first number is the time on a processor in nanoseconds (proc(5)). It is brought up to
/// date when the thread gives the processor up.
fn processor() -> Option<Duration> {
    std::thread::yield_now();
    let schedule = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    schedule.split_whitespace().next()?.parse().ok().map(Duration::from_nanos)
}

/// Beside other tests, on a machine that may be shared, work takes up to twice as long as at rest:
/// caches and cores are not its own.
const SHARED: u32 = 2;

/// How often work is tried before it counts as slow.
const TRIES: usize = 8;

/// Checks that work meets its goal: that one of some tries takes no longer than a shared machine may
/// take. Returns the quickest.
///
/// # Panics
/// If no try is quick enough.
pub fn within(goal: Duration, what: &str, mut work: impl FnMut()) -> Duration {
    let mut quickest = Duration::MAX;
    for _ in 0..TRIES {
        let began = Busy::now();
        work();
        quickest = quickest.min(began.elapsed());
        if quickest <= goal {
            break;
        }
    }
    assert!(quickest <= goal * SHARED, "{what} takes {quickest:?}; the goal at rest is {goal:?}");
    quickest
}
