//! Turns events into notes.
//!
//! Note-ons and note-offs of a host or a MIDI file are paired. MIDI glitches are counted
//! ([`note::Oddities`]); no note is lost, and nothing panics.

pub mod event;
pub mod midi_file;
pub mod note;
pub mod pairing;
pub mod recording;
pub mod sound_input;
