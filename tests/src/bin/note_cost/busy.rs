//! How long this thread works, whatever else the machine is doing.

use std::time::{Duration, Instant};

/// A moment in this thread's processor time; on systems that do not tell it, by the clock.
pub struct Busy {
    clock: Instant,
    processor: Option<Duration>,
}

impl Busy {
    /// This moment.
    pub fn now() -> Self {
        let processor = processor();
        Self { clock: Instant::now(), processor }
    }

    /// Time since then.
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
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    told.split_whitespace().next()?.parse().ok().map(Duration::from_nanos)
}
