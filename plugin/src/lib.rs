//! Overbar as two CLAP and VST3 plugins, one for MIDI and one for audio. The audio thread captures, a worker
//! analyses, and the panel draws what the worker publishes.
//!
//! # The order of the folders
//! Data flows from the top of this list to its bottom, and commands flow back. A folder imports only from
//! those above it; `tests/folders.rs` checks this.
//!
//! 1. [`runtime`]: panic guards, locks, the job thread, waking the panel.
//! 2. [`audio`]: the audio thread: capture, MIDI through, click, Hear playback.
//! 3. [`view_model`]: plain structs for the panel, one for each view.
//! 4. [`command`]: the user's commands.
//! 5. [`practice`]: drills, their settings and their results.
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

// Some hosts only show the first plugin of a file.
nice_plug::nice_export_clap!(Overbar, OverbarListen);
nice_plug::nice_export_vst3!(Overbar, OverbarListen);
