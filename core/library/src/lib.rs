//! Keeps takes, so that none is lost: a library on disk that takes are written into as they
//! are played, and a compact form for the project of a host.
//!
//! # The parts
//! [`Library::open`] opens the library's file; [`recorder::Recorder`] writes a session's takes
//! into it as they grow. A [`take_store::TakeStore`] stands beside a session and does all of this for it. [`mod@packed`] and [`project`] are the compact form, [`mod@merge`] the
//! rules by which copies of a take come together. Notes are kept, verdicts never: they are read
//! anew with [`overbar_core`].
//!
//! # Conventions
//! - A take is known by its [`overbar_core::take::TakeId`] everywhere. Dates are
//!   [`Stamp`]s.
//! - Every error is a [`LibraryError`] whose message is a sentence for the user. After one,
//!   file and memory are as they were before.
//! - Nothing is removed but by [`Library::purge`], and by [`Library::forget`] what is
//!   there twice; and from the file of a further copy in a process what has come into the library. A
//!   damaged file is renamed.
//! - Nothing here is for the audio thread.

mod catalog;
pub mod chunks;
pub mod delta;
mod edit;
mod error;
mod history;
mod ids;
mod labels;
mod library;
mod list;
pub mod merge;
mod merge_sidecars;
mod open;
pub mod packed;
mod place;
pub mod project;
pub mod recorder;
mod schema;
pub mod splice;
mod stamp;
mod summary;
mod table;
pub mod take_store;
mod tune;
mod writer;
mod writer_lock;

pub use catalog::{DrillResult, Entry, GoalMet, Practised};
pub use edit::Undo;
pub use error::LibraryError;
pub use history::{History, PastTake};
pub use ids::new_take_id;
pub use labels::{Labels, Mark};
pub use library::{Library, Origin, Start, State};
pub use list::{Page, Query, Row, Sort};
pub use open::{Notice, Opened};
pub use place::{FOLDER_VARIABLE, default_path, is_of_further_copy};
pub use stamp::{Edited, Stamp};
pub use summary::Summary;
pub use tune::{Form, Player, PlayerId, Section, Tune, TuneId};
pub use writer_lock::Owner;
