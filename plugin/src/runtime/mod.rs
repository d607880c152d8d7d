//! Shared by every thread but the audio thread: locks that survive a panic, a guard that keeps panics from
//! the host, a job thread, and waking the panel. Nothing here depends on takes.

#[cfg(feature = "faults")]
pub mod faults;
pub(crate) mod guard;
pub(crate) mod job_thread;
pub(crate) mod lock;
pub(crate) mod repaint;
