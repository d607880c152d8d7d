//! Slow work, each kind on a thread of its own, so that neither panel nor worker waits for it: analysing,
//! splitting, merging and packing takes, comparing takes and cutting comps, files, the library, progress,
//! drill history, Hear playback, and calls to the operating system. A job works on copies and publishes plain
//! view models.

pub(crate) mod analyses;
pub(crate) mod comp;
pub mod drill_past;
pub(crate) mod files;
pub mod hear;
mod latest;
pub(crate) mod library_browser;
pub mod packer;
pub mod progress_job;
pub mod system;
pub mod take_reader;
pub mod take_split;
