//! Work that takes long, each kind on a thread of its own, so that neither panel nor worker waits
//! for it: analysing takes, splitting, merging and packing them, comparing them and cutting comps,
//! writing and reading files, searching the library, progress over weeks, earlier results of drills, preparing what is heard, and
//! what the system is asked for.
//! A job works on copies and publishes plain view models.

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
