//! Keeps takes, so that none is lost: a library on disk that takes are written into as they
//! are played, and a compact form for the project of a host.
//!
//! # The parts
//! [`Library::open`] opens the library's file; [`recorder::Recorder`] writes a session's takes
//! into it as they grow. A [`keeper::Keeper`] stands beside a session and does all of this for it. [`mod@packed`] and [`project`] are the compact form, [`mod@merge`] the
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
mod edit;
mod error;
pub mod growth;
mod history;
mod ids;
mod join;
pub mod keeper;
mod labels;
mod library;
mod list;
pub mod merge;
mod open;
mod owner;
pub mod packed;
mod place;
pub mod project;
pub mod recorder;
pub mod rows;
mod schema;
pub mod splice;
mod stamp;
mod summary;
mod table;
mod tune;
mod writer;

pub use catalog::{DrillResult, Entry, GoalMet, Practised};
pub use edit::Undo;
pub use error::LibraryError;
pub use history::{History, PastTake};
pub use ids::new_take_id;
pub use labels::{Labels, Mark};
pub use library::{Library, Origin, Start, State};
pub use list::{Page, Query, Row, Sort};
pub use open::{Notice, Opened};
pub use owner::Owner;
pub use place::{FOLDER_VARIABLE, default_path, is_of_further_copy};
pub use stamp::{Edited, Stamp};
pub use summary::Summary;
pub use tune::{Form, Player, PlayerId, Section, Tune, TuneId};
