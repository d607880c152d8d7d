//! Analyses how an improvised line phrases: where in the bar phrases start and end, how long they
//! run, and how much rest they leave.
//!
//! # The pipeline
//! Each folder is a stage. A stage uses only those above it in this list; `tests/stages.rs` checks it.
//!
//! 1. [`time`]: instants, spans, bars, and what a host's transport means in them.
//! 2. [`stats`]: shares, means and differences with their uncertainty.
//! 3. [`transcription`]: notes from sound.
//! 4. [`input`]: events become notes.
//! 5. [`grid`]: beats from taps or from the band, for a take without a click.
//! 6. [`take`]: what is kept of a take, and the settings that it is analysed with.
//! 7. [`melody`]: the onsets of the line.
//! 8. [`segmentation`]: where phrases start.
//! 9. [`quantization`]: where in the bar each onset was meant.
//! 10. [`phrase`]: phrases, their running figures, and alerts.
//! 11. [`microtiming`]: lag, swing and syncopation.
//! 12. [`theory`]: choruses, sections, chords, and notes by name.
//! 13. [`analysis`]: one take, analysed.
//! 14. [`practice`]: drills, the click, the input's latency.
//! 15. [`session`]: takes as they come, and the snapshot of them.
//! 16. [`study`]: advice, comparison, comps and progress.
//! 17. [`output`]: text, JSON, pages, MIDI, tables, scores, and takes to be heard.
//!
//! An [`input::event::Event`] pushed into a [`session::Session`] goes through stages 1 to 11 and comes
//! out in a [`session::snapshot::Snapshot`]. A file goes the same way as a live performance.
//!
//! # Conventions
//! - [`time::Beat`] is a host's quarter note, whatever the metre, from the song's start, and may
//!   be negative. A *pulse* is the felt beat; a *written beat* is the unit of the time
//!   signature's lower figure. [`time::Second`] runs on the performance's own clock.
//! - Bars and pulses are counted from 1. Intervals are closed at their start and open at their
//!   end: a note on a bar line is in the bar that begins there.
//! - Notes lie in order of onset; at equal onsets, of key and channel.
//! - Nothing here reads a file, a clock or the environment, starts a thread or locks. Odd input
//!   is counted ([`input::note::Oddities`]), not refused, and never a panic.
//! - Every threshold is in [`take::settings`] or a named constant, with its unit and origin.

pub mod analysis;
pub mod grid;
pub mod input;
pub mod melody;
pub mod microtiming;
pub mod output;
pub mod phrase;
pub mod practice;
pub mod quantization;
pub mod segmentation;
pub mod session;
pub mod stats;
pub mod study;
pub mod take;
pub mod theory;
pub mod time;
pub mod transcription;
