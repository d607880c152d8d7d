//! Keeps takes: a library on disk, written as they are played, and a compact form for a host's
//! project.
//!
//! # The parts
//! [`Library::open`] opens the library file. [`recorder::Recorder`] writes a session's takes into it
//! as they grow. [`take_store::TakeStore`] accompanies a session and does both. [`mod@packed`] and
//! [`project`] are the compact form. [`mod@merge`] has the rules for merging copies of a take. Notes
//! are stored, figures are not: [`overbar_core`] analyses the notes again.
//!
//! # Conventions
//! - A take is identified by its [`overbar_core::take::TakeId`] everywhere. Dates are [`Stamp`]s.
//! - Every error is a [`LibraryError`] whose message is a sentence for the user. After an error,
//!   file and memory are as they were before.
//! - Takes are marked as deleted, never removed, except by [`Library::discard`] for a take that is
//!   stored twice, and from a sidecar once the library has them. A damaged file is renamed.
//! - Nothing here may run on the audio thread.

mod catalog;
pub mod chunks;
pub mod delta;
mod error;
mod history;
mod ids;
mod labels;
mod library;
mod list;
mod location;
pub mod merge;
mod merge_sidecars;
mod messages;
mod open;
pub mod packed;
pub mod project;
pub mod recorder;
mod schema;
pub mod splice;
mod stamp;
mod summary;
mod table;
mod take_header;
pub mod take_store;
mod tune;
mod writer;
mod writer_lock;

pub use catalog::{CatalogEntry, DrillOutcome, DrillRecord, GoalTally};
pub use error::LibraryError;
pub use history::{History, PastTake};
pub use ids::new_take_id;
pub use labels::{Labels, Marker};
pub use library::Library;
pub use list::{ListPage, ListedTake, Query, Sort};
pub use location::{FOLDER_VARIABLE, default_path, is_sidecar};
pub use messages::Health;
pub use open::{Notice, OpenedLibrary};
pub use stamp::{Edited, Stamp};
pub use summary::Summary;
pub use take_header::{Origin, TakeHeader, TakeState};
pub use tune::{Player, PlayerId, Tune, TuneForm, TuneId, TuneSection};
pub use writer_lock::WriterLock;
