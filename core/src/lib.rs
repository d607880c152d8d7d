//! Hears the phrasing of an improvised line: where in the bar phrases enter and leave, how long
//! they run, and how much room they leave.
//!
//! # The pipeline
//! [`event::Event`]s go into a [`session::Session`]: the [`clock`] reads the transport, the
//! [`pairing`] makes notes, the [`analyser`] finds phrases, [`phrase`] reads each one,
//! [`figures`], [`feel`] and [`alerts`] sum up, and a [`snapshot::Snapshot`] shows it. A file goes the
//! same way as a live performance.
//!
//! # Conventions
//! - [`time::Beat`] is a host's quarter note, whatever the metre, from the song's start, and may
//!   be negative. A *pulse* is the felt beat; a *written beat* is the unit of the time
//!   signature's lower figure. [`time::Second`] runs on the performance's own clock.
//! - Bars and pulses are counted from 1. Intervals are closed at their start and open at their
//!   end: a note on a bar line is in the bar that begins there.
//! - Notes lie in order of onset; at equal onsets, of key and channel.
//! - Nothing here reads a file, a clock or the environment, starts a thread or locks. Odd input
//!   is counted ([`note::Oddities`]), not refused, and never a panic.
//! - Every threshold is in [`settings`] or a named constant, with its unit and origin.

pub mod advice;
pub mod alerts;
pub mod analyser;
pub mod beats;
pub mod boundary;
pub mod calibrate;
pub mod clock;
pub mod comp;
pub mod compare;
pub mod corrections;
pub mod detail;
pub mod drill;
pub mod ear;
pub mod event;
pub mod evidence;
pub mod export;
pub mod feel;
pub mod figures;
pub mod form;
pub mod harmony;
pub mod line;
pub mod melody;
pub mod metre;
pub mod metre_map;
pub mod metronome;
pub mod midi_file;
pub mod note;
pub mod pairing;
pub mod parts;
pub mod performance;
pub mod phrase;
pub mod place;
pub mod place_model;
pub mod playback;
pub mod progress;
pub mod ranks;
pub mod reading;
pub mod report;
pub mod review;
mod room;
pub mod session;
pub mod settings;
pub mod slot;
pub mod snapshot;
pub mod solos;
pub mod song_event;
pub mod stats;
pub mod streaks;
pub mod subdivision;
pub mod take;
pub mod take_list;
pub mod tempo_map;
pub mod time;
pub mod transport;
pub mod words;

#[cfg(test)]
mod invented;
