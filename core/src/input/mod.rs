//! What comes in becomes notes.
//!
//! Events of a host or of a MIDI file are paired into notes. What is odd about them is counted
//! ([`note::Oddities`]); no note is lost, and nothing panics.

pub mod event;
pub mod midi_file;
pub mod note;
pub mod pairing;
