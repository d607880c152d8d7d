//! The tunes that are known, each with its form: those of the project, and those of the library.

use super::TakeStore;
use crate::catalog::Entry;
use crate::tune::{Tune, TuneId};
use overbar_core::take::TakeId;
use std::collections::{BTreeMap, BTreeSet};

impl TakeStore {
    /// The tune of this name: as the project has it, or else as the library has. `None` where neither
    /// knows it, or it has no name. Capitals and the space around do not matter.
    #[must_use]
    pub fn tune(&self, name: &str) -> Option<Tune> {
        let id = TuneId::of(name)?;
        let ours = self.tunes.get(&id).cloned();
        ours.or_else(|| self.of_library().into_iter().find(|tune| tune.id == id))
    }

    /// The names of all tunes that are known, in order.
    #[must_use]
    pub fn tune_names(&self) -> Vec<String> {
        let mut names = BTreeMap::new();
        for tune in self.of_library().iter().chain(self.tunes.values()) {
            names.insert(tune.name.to_lowercase(), tune.name.clone());
        }
        names.into_values().collect()
    }

    /// Says which tune a take is of; an empty name says that it is not known.
    pub fn retune(&mut self, id: TakeId, name: &str) {
        self.label(id, |labels, now| labels.tune.set(name.trim().to_owned(), now));
    }

    /// The name of the tune that a take is of; empty where it is not known.
    #[must_use]
    pub fn tune_of(&self, id: TakeId) -> &str {
        self.known(id).map_or("", |known| known.labels.tune.value.as_str())
    }

    /// Takes up a tune, unless it is known as it is or was changed since; the library is told.
    pub(super) fn know_tune(&mut self, tune: Tune) {
        let known = self.tunes.get(&tune.id);
        let is_new = known.is_none_or(|known| {
            known.edited < tune.edited && (&known.name, &known.form) != (&tune.name, &tune.form)
        });
        if is_new {
            self.tunes.insert(tune.id, tune.clone());
            self.enter(Entry::Tune(tune));
        }
    }

    /// The tunes that a project is to hold: that which is played, and those of its takes.
    pub(super) fn tunes_of_project(&self) -> Vec<Tune> {
        let known = self.known.values().map(|known| &known.labels);
        let labels = known.chain(self.aside.iter().map(|take| &take.labels));
        let names = labels.map(|labels| labels.tune.value.as_str());
        let names = names.chain([self.playing.tune.as_str()]);
        let ids: BTreeSet<TuneId> = names.filter_map(TuneId::of).collect();
        let library = self.of_library();
        let find = |id: &TuneId| {
            let of_library = || library.iter().find(|tune| tune.id == *id);
            self.tunes.get(id).or_else(of_library).cloned()
        };
        ids.iter().filter_map(find).collect()
    }

    fn of_library(&self) -> Vec<Tune> {
        self.recorder.as_ref().map(|recorder| recorder.tunes()).unwrap_or_default()
    }
}
