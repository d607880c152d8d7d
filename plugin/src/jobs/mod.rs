//! Work that takes long, each kind on a thread of its own, so that neither panel nor worker waits
//! for it: comparing takes and cutting comps, writing and reading files, searching the library,
//! and progress over weeks. A job works on copies and publishes plain view models.

pub mod analyses;
pub mod comp;
pub mod files;
mod latest;
pub mod library_browser;
pub mod progress_job;
pub mod take_reader;
