//! The tunes of the project and of the library, with their forms.

use super::store::TakeStore;
use super::undo::Label;
use crate::catalog::CatalogEntry;
use crate::tune::{Tune, TuneId};
use overbar_core::take::TakeId;
use std::collections::{BTreeMap, BTreeSet};

impl TakeStore {
    /// The tune of this name, ignoring case and surrounding space: the project's, or else the
    /// library's.
    pub fn tune(&self, name: &str) -> Option<Tune> {
        let id = TuneId::of(name)?;
        let own = self.tunes.get(&id).cloned();
        own.or_else(|| self.library_tunes().into_iter().find(|tune| tune.id == id))
    }

    /// The names of all tunes, sorted.
    pub fn tune_names(&self) -> Vec<String> {
        let mut names = BTreeMap::new();
        for tune in self.library_tunes().iter().chain(self.tunes.values()) {
            names.insert(tune.name.to_lowercase(), tune.name.clone());
        }
        names.into_values().collect()
    }

    /// Sets the tune of a take; an empty name clears it.
    pub fn set_tune(&mut self, id: TakeId, name: &str) {
        self.label(id, |labels, now| labels.tune.set(name.trim().to_owned(), now));
    }

    /// [`TakeStore::set_tune`] as a user's change, which can be undone.
    pub fn retune(&mut self, id: TakeId, name: &str) {
        self.relabel(id, Label::Tune(name.trim().to_owned()));
    }

    /// The name of a take's tune; empty if unknown.
    pub fn tune_of(&self, id: TakeId) -> &str {
        self.metadata(id).map_or("", |known| known.labels.tune.value.as_str())
    }

    /// Adds a tune to the project and the library, unless it is there unchanged or was edited later.
    pub(super) fn add_tune(&mut self, tune: Tune) {
        let known = self.tunes.get(&tune.id);
        let is_new = known.is_none_or(|known| {
            known.edited < tune.edited && (&known.name, &known.form) != (&tune.name, &tune.form)
        });
        if is_new {
            self.tunes.insert(tune.id, tune.clone());
            self.write_entry(CatalogEntry::Tune(tune));
        }
    }

    /// The tunes to save in the project: the current one, and those of its takes.
    pub(super) fn tunes_of_project(&self) -> Vec<Tune> {
        let known = self.known.values().map(|known| &known.labels);
        let labels = known.chain(self.aside.iter().map(|take| &take.labels));
        let names = labels.map(|labels| labels.tune.value.as_str());
        let names = names.chain([self.playing.tune.as_str()]);
        let ids: BTreeSet<TuneId> = names.filter_map(TuneId::of).collect();
        let library = self.library_tunes();
        let find = |id: &TuneId| {
            let of_library = || library.iter().find(|tune| tune.id == *id);
            self.tunes.get(id).or_else(of_library).cloned()
        };
        ids.iter().filter_map(find).collect()
    }

    fn library_tunes(&self) -> Vec<Tune> {
        self.recorder.as_ref().map(|recorder| recorder.tunes()).unwrap_or_default()
    }
}
