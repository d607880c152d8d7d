//! The audio thread: queues stamped events, or sound, for the worker; passes MIDI or sound through; renders
//! the click and Hear playback. It never allocates, locks, does I/O, logs or panics. It shares queues, two
//! slots and a few atomics with the other threads, and nothing else.

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
