//! What every thread but the audio thread builds on: locks that survive a panic, a guard that keeps
//! panics from the host, a thread for jobs, and waking the panel. Nothing here knows of takes.

#[cfg(feature = "faults")]
pub mod faults;
pub(crate) mod guard;
pub(crate) mod job_thread;
pub(crate) mod lock;
pub(crate) mod repaint;
