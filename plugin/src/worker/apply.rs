//! Applies the panel's commands to session and take store.

use crate::command::Command;
use crate::jobs::take_split::Wanted;
use crate::worker::publisher::Publisher;
use overbar_core::session::Session;
use overbar_library::LibraryError;
use overbar_library::take_store::TakeStore;

impl Command {
    /// Applies the command to session and take store.
    ///
    /// # Errors
    /// Why it cannot be applied; nothing has changed then.
    pub fn apply(
        self,
        session: &mut Session,
        store: &mut TakeStore,
        publisher: &Publisher,
    ) -> Result<(), LibraryError> {
        match self {
            Self::LookAt(take) => session.look_at(take),
            Self::Choose(note) => session.choose(note),
            Self::Correct { take, at, begins } => session.correct(take, at, begins),
            Self::Rename(id, name) => store.rename(id, &name),
            Self::Star(id, star) => store.star(id, star),
            Self::Remark(id, remark) => store.remark(id, &remark),
            Self::Regrid(id, edit) => {
                let edited = store.edit_grid(session, id, edit);
                return publisher.show_grid_error(id, edited);
            }
            Self::Delete(id) => store.delete(session, &[id]),
            Self::Split(id, at) => publisher.take_split.ask(Wanted::Split(id, at)),
            Self::SplitIntoSolos(id) => publisher.take_split.ask(Wanted::Solos(id)),
            Self::Mark => {
                if !store.add_marker(session) {
                    let why = "Nothing is playing: no place to put a marker.";
                    return Err(LibraryError::Message(why.to_owned()));
                }
            }
            Self::Merge(ids) => publisher.take_split.ask(Wanted::Merged(ids)),
            Self::Undo => {
                store.undo(session);
                publisher.clear_grid_fault();
            }
            Self::Redo => {
                store.redo(session);
                publisher.clear_grid_fault();
            }
            Self::SetTune(field, typed) => {
                let mut tune = publisher.tune();
                tune.type_into(field, typed, store);
                store.set_playing(session, tune.playing());
            }
            Self::Retune(id, name) => store.retune(id, &name),
            Self::Compare(command) => {
                let tune = publisher.tune().clone();
                publisher.compare.apply(command, session, store, &tune, &publisher.files);
            }
            Self::Hear(request) => publisher.hear(*request, session, store)?,
            Self::StopHearing => publisher.hear.stop(),
            Self::System(command) => {
                publisher.system.apply(command, &publisher.compare.selection());
            }
        }
        Ok(())
    }
}
