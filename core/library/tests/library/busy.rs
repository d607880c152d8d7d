//! How long work takes, whatever else the machine is doing.

use std::time::{Duration, Instant};

/// A moment in this thread's processor time; on systems that do not tell it, by the clock.
pub struct Busy {
    clock: Instant,
    processor: Option<Duration>,
}

impl Busy {
    /// This moment.
    pub fn now() -> Self {
        Self { clock: Instant::now(), processor: processor() }
    }

    /// Time since then.
    pub fn elapsed(&self) -> Duration {
        match (self.processor, processor()) {
            (Some(before), Some(now)) => now - before,
            _ => self.clock.elapsed(),
        }
    }
}

/// Linux: the first number is the time on a processor in nanoseconds (proc(5)).
fn processor() -> Option<Duration> {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    told.split_whitespace().next()?.parse().ok().map(Duration::from_nanos)
}
