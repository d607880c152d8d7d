//! What the panel asks of the session. The worker sees to it, so that the interface never waits
//! while a long take is read.

pub mod action;
pub mod comp;
pub mod drill;

use crate::jobs::comp::Wish;
use crate::view_model::BoardDesk;
use crate::view_model::tune::TuneField;
use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::time::Second;
use overbar_library::LibraryError;
use overbar_library::merge::StoredTake;
use overbar_library::take_store::TakeStore;

/// A wish.
#[derive(Debug, Clone, PartialEq)]
pub enum Ask {
    /// Show take this many, from 1, or the current one.
    LookAt(Option<u32>),
    /// Look into the phrase that has the note of this index, or into none.
    Choose(Option<usize>),
    /// Say by hand whether a phrase begins at an onset, or leave that to the ear.
    Correct {
        /// Number of the take, from 1.
        take: u32,
        /// When the onset was played.
        at: Second,
        /// See [`Session::correct`].
        begins: Option<bool>,
    },
    /// Give a take a name; an empty one takes it away.
    Rename(TakeId, String),
    /// Give or take a star.
    Star(TakeId, bool),
    /// Write the user's note on a take.
    Remark(TakeId, String),
    /// Delete a take that is over; to be had back with [`Ask::Undo`].
    Delete(TakeId),
    /// Part a take that is over: what begins at this second or later is the second part.
    Split(TakeId, Second),
    /// Part a take that is over into its solos, each a take of its own.
    PartIntoSolos(TakeId),
    /// Mark the place that the song has come to: what comes after is another solo.
    Mark,
    /// Make one take of several, in this order.
    Join(Vec<TakeId>),
    /// Undo the last deletion, parting or joining.
    Undo,
    /// Take a take of the library into the project.
    Fetch(Box<StoredTake>),
    /// Set a field of the tune that is played: its name, which brings the form that is known of it, or
    /// another.
    SetTune(TuneField, String),
    /// Say which tune a take is of; an empty name says that it is not known.
    Retune(TakeId, String),
    /// Compare takes, cut a comp, write or read files.
    Bench(Wish),
}

impl Ask {
    /// Does it.
    ///
    /// # Errors
    /// Why it cannot be done; nothing has changed then.
    pub fn put_to(
        self,
        session: &mut Session,
        keeper: &mut TakeStore,
        board: &BoardDesk,
    ) -> Result<(), LibraryError> {
        match self {
            Self::LookAt(take) => session.look_at(take),
            Self::Choose(note) => session.choose(note),
            Self::Correct { take, at, begins } => session.correct(take, at, begins),
            Self::Rename(id, name) => keeper.rename(id, &name),
            Self::Star(id, star) => keeper.star(id, star),
            Self::Remark(id, remark) => keeper.remark(id, &remark),
            Self::Delete(id) => keeper.delete(session, &[id]),
            Self::Split(id, at) => keeper.split(session, id, &[at])?,
            Self::PartIntoSolos(id) => {
                let ends = board.solo_starts(session, keeper, id);
                keeper.split(session, id, &ends)?;
            }
            Self::Mark => {
                if !keeper.add_marker(session) {
                    let why = "There is no take under way to mark a place in.";
                    return Err(LibraryError::Other(why.to_owned()));
                }
            }
            Self::Join(ids) => keeper.join(session, &ids)?,
            Self::Undo => keeper.undo(session),
            Self::Fetch(take) => {
                if let Some(fault) = keeper.load_take(session, *take).pop() {
                    return Err(LibraryError::Other(fault));
                }
            }
            Self::SetTune(field, typed) => {
                let mut tune = board.tune();
                tune.type_into(field, typed, keeper);
                keeper.set_playing(session, tune.playing());
            }
            Self::Retune(id, name) => keeper.set_tune(id, &name),
            Self::Bench(wish) => {
                let tune = board.tune().clone();
                board.cutting.see_to(wish, session, keeper, &tune, &board.outlet);
            }
        }
        Ok(())
    }
}
