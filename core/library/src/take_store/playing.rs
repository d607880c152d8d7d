//! The current tune and player, and the results of drills.

use super::store::{Playing, TakeStore, all};
use crate::catalog::{CatalogEntry, DrillOutcome, DrillRecord};
use crate::stamp::{Edited, Stamp};
use crate::tune::{Player, PlayerId, Tune, TuneId};
use overbar_core::session::Session;
use overbar_core::take::TakeId;

impl TakeStore {
    /// Sets the current tune and player. Applies to future takes, and to takes of the session that have no
    /// tune or player.
    pub fn set_playing(&mut self, session: &Session, playing: Playing) {
        if playing == self.playing {
            return;
        }
        let Playing { tune, form, player } = &playing;
        let (edited, deleted) = (Stamp::now(), false);
        if let Some(id) = TuneId::of(tune) {
            let (name, form) = (tune.trim().to_owned(), form.clone());
            // Later than the last edit, even in the same millisecond.
            let known = self.tunes.get(&id).map(|known| Stamp(known.edited.0.saturating_add(1)));
            let edited = known.map_or(edited, |known| edited.max(known));
            self.add_tune(Tune { id, name, form, edited, deleted });
        }
        if let Some(id) = PlayerId::of(player) {
            let (name, finer) = (player.trim().to_owned(), 0.0);
            self.write_entry(CatalogEntry::Player(Player { id, name, finer, edited, deleted }));
        }
        self.playing = playing;
        self.sync(session);
        let ids: Vec<TakeId> = all(session).map(|take| take.id).collect();
        ids.into_iter().for_each(|id| self.label_playing(id));
    }

    /// Stores the result of a drill that has just ended.
    pub fn record_drill(&mut self, drill: &str, result: DrillOutcome) {
        let Playing { tune, player, .. } = self.playing.clone();
        let result = DrillOutcome { tune, player, ..result };
        let record = DrillRecord { at: Stamp::now(), drill: drill.to_owned(), result };
        self.write_entry(CatalogEntry::Drill(record));
    }

    /// Labels a take with the current tune and player, unless its own were set or cleared before.
    pub(super) fn label_playing(&mut self, id: TakeId) {
        let Some(known) = self.known.get(&id) else { return };
        let is_missing = |label: &Edited<String>, playing: &str| {
            label.at == Stamp(0) && label.value.is_empty() && !playing.is_empty()
        };
        let tune = self.playing.tune.trim().to_owned();
        let player = self.playing.player.trim().to_owned();
        let lacks_tune = is_missing(&known.labels.tune, &tune);
        let lacks_player = is_missing(&known.labels.player, &player);
        if lacks_tune {
            self.label(id, |labels, now| labels.tune.set(tune, now));
        }
        if lacks_player {
            self.label(id, |labels, now| labels.player.set(player, now));
        }
    }
}
