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

pub mod analysis;
pub mod figures;
pub mod input;
pub mod melody;
pub mod microtiming;
pub mod output;
pub mod phrase;
pub mod practice;
pub mod quantization;
pub mod segmentation;
pub mod session;
pub mod settings;
pub mod stats;
pub mod study;
pub mod take;
pub mod theory;
pub mod time;
