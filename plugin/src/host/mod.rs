//! The plugin as a host sees it: its parameters, its saved state, its editor window, and the
//! plugin object that owns audio and worker.

mod editor;
#[cfg(feature = "faults")]
pub mod inspect;
mod instance;
pub mod listen;
pub mod parameters;
pub mod params;
pub mod plugin;
pub mod state;
