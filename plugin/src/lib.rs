//! Overbar as two CLAP and VST3 plugins, one for MIDI and one for sound: captures on the audio thread, analyses on a worker, draws
//! what the worker publishes.
//!
//! # The order of the folders
//! Data goes from the top of this list to its bottom, and commands go back. A folder uses only
//! those above it; `tests/folders.rs` checks it.
//!
//! 1. [`runtime`]: guards against panics, locks, a thread for jobs, waking the panel.
//! 2. [`audio`]: the audio thread captures, passes MIDI on, clicks, and plays what is heard.
//! 3. [`view_model`]: plain structs for what the panel may show, one for each view.
//! 4. [`command`]: what the user can ask for.
//! 5. [`practice`]: drills, as they are set and as they are played.
//! 6. [`jobs`]: long work on threads of its own: comparing, files, the library, progress, Hear.
//! 7. [`worker`]: feeds events to the session, applies commands, publishes view models.
//! 8. [`panel`]: layout and drawing.
//! 9. [`host`]: the plugin as a host sees it: parameters, saved state, editor window.

pub mod audio;
pub mod command;
pub mod host;
pub mod jobs;
pub mod panel;
pub mod practice;
pub mod runtime;
pub mod view_model;
pub mod worker;

pub use crate::host::listen::OverbarListen;
pub use crate::host::plugin::Overbar;

// Hosts that show one plugin of a file only show the first.
nice_plug::nice_export_clap!(Overbar, OverbarListen);
nice_plug::nice_export_vst3!(Overbar, OverbarListen);
