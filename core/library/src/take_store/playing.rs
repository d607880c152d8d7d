//! Whose takes they are, of which tune, and what was practised.

use super::{TakeStore, all};
use crate::catalog::{DrillResult, Entry, Practised};
use crate::stamp::{Edited, Stamp};
use crate::tune::{Form, Player, PlayerId, Tune, TuneId};
use overbar_core::session::Session;
use overbar_core::take::TakeId;

/// What is played from now on, and by whom.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Playing {
    /// The tune's name; empty where none is set.
    pub tune: String,
    /// Its form, once it is set.
    pub form: Option<Form>,
    /// The player's name; empty where none is set.
    pub player: String,
}

impl TakeStore {
    /// Says what is played from now on, and by whom. It holds for takes to come, and for those of
    /// the session that were not said to be of any tune, or by anyone.
    pub fn set_playing(&mut self, session: &Session, playing: Playing) {
        if playing == self.playing {
            return;
        }
        let Playing { tune, form, player } = &playing;
        let (edited, deleted) = (Stamp::now(), false);
        if let Some(id) = TuneId::of(tune) {
            let (name, form) = (tune.trim().to_owned(), form.clone());
            // What is said now is later than what was, though it be in the same millisecond.
            let known = self.tunes.get(&id).map(|known| Stamp(known.edited.0.saturating_add(1)));
            let edited = known.map_or(edited, |known| edited.max(known));
            self.know_tune(Tune { id, name, form, edited, deleted });
        }
        if let Some(id) = PlayerId::of(player) {
            let (name, finer) = (player.trim().to_owned(), 0.0);
            self.enter(Entry::Player(Player { id, name, finer, edited, deleted }));
        }
        self.playing = playing;
        self.know(session);
        let ids: Vec<TakeId> = all(session).map(|take| take.id).collect();
        ids.into_iter().for_each(|id| self.say_what_is_played(id));
    }

    /// Keeps the result of a drill, which was done just now.
    pub fn practised(&mut self, drill: &str, result: Practised) {
        let Playing { tune, player, .. } = self.playing.clone();
        let result = Practised { tune, player, ..result };
        self.enter(Entry::Drill(DrillResult { at: Stamp::now(), drill: drill.to_owned(), result }));
    }

    /// Labels a take of which nobody has said yet which tune it is of, or by whom. To be of no tune, or
    /// by no one, can have been said too.
    pub(super) fn say_what_is_played(&mut self, id: TakeId) {
        let Some(known) = self.known.get(&id) else { return };
        let missing = |has: &Edited<String>, set: &str| {
            has.at == Stamp(0) && has.value.is_empty() && !set.trim().is_empty()
        };
        let (tune, player) = (self.playing.tune.clone(), self.playing.player.clone());
        if missing(&known.labels.tune, &tune) {
            self.label(id, |labels, now| labels.tune.set(tune.trim().to_owned(), now));
        }
        let Some(known) = self.known.get(&id) else { return };
        if missing(&known.labels.player, &player) {
            self.label(id, |labels, now| labels.player.set(player.trim().to_owned(), now));
        }
    }

    pub(super) fn enter(&mut self, entry: Entry) {
        match &mut self.recorder {
            Some(recorder) => recorder.enter(entry),
            None => self.to_enter.push(entry),
        }
    }
}
