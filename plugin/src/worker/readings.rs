//! The phrases of takes, read once and kept while nothing about the take changes.

use overbar_core::analysis::analyser::Analyser;
use overbar_core::phrase::Phrase;
use overbar_core::session::Session;
use overbar_core::settings::Settings;
use overbar_core::take::corrections::Corrections;
use overbar_core::take::{Take, TakeId};
use std::collections::HashMap;
use std::sync::Arc;

/// See the module.
#[derive(Debug, Default)]
pub struct Readings {
    of: HashMap<TakeId, (Stamp, Arc<Vec<Phrase>>)>,
}

/// What a reading depends on.
#[derive(Debug, Clone, PartialEq)]
struct Stamp {
    settings: Settings,
    notes: usize,
    /// How many notes have ended.
    ended: usize,
    corrections: Corrections,
}

impl Readings {
    /// The phrases of `take`, heard whole.
    pub fn of(&mut self, take: &Take, settings: &Settings) -> Arc<Vec<Phrase>> {
        let notes = take.performance.heard.notes();
        let stamp = Stamp {
            settings: *settings,
            notes: notes.len(),
            ended: notes.iter().filter(|note| note.off.is_some()).count(),
            corrections: take.performance.corrections.clone(),
        };
        if let Some((known, phrases)) = self.of.get(&take.id)
            && *known == stamp
        {
            return phrases.clone();
        }
        let phrases = Arc::new(Analyser::phrases_of(&take.performance, *settings));
        self.of.insert(take.id, (stamp, phrases.clone()));
        phrases
    }

    /// Forgets the readings of takes that are not in `session`.
    pub fn keep_only(&mut self, session: &Session) {
        let there = |id: &TakeId| {
            session.takes().iter().chain(session.current()).any(|take| take.id == *id)
        };
        self.of.retain(|id, _| there(id));
    }
}
