//! The audio thread: stamps events and queues them for the worker, passes MIDI on, and clicks. It
//! never allocates, locks, does I/O, logs or panics. It shares a queue and a few atomics with
//! the other threads, nothing else.

mod block;
pub mod capture;
pub(crate) mod headline;
pub mod link;
mod standalone;

pub use crate::audio::block::Audio;
