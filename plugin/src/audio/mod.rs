//! The audio thread: stamps events and queues them for the worker, or copies sound for it; passes MIDI
//! or sound on, clicks, and plays what is heard. It never allocates, locks, does I/O, logs or panics.
//! It shares queues, two slots and a few atomics with the other threads, nothing else.

mod block;
pub mod capture;
pub(crate) mod headline;
pub mod hear;
pub mod hear_link;
pub mod link;
mod listening;
pub mod midi_out;
pub mod sound;
mod standalone;
pub mod taps;

pub use crate::audio::block::Audio;
pub use crate::audio::listening::ListeningAudio;
