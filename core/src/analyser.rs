//! Finds phrases in a performance as it grows. The same code follows a live pass, reads a file
//! and reads a stored take anew.

use crate::boundary::{RecentIntervals, rest_before};
use crate::performance::Performance;
use crate::phrase::{Phrase, PhraseReader, Score};
use crate::place::BarLines;
use crate::settings::Settings;

/// The phrases of one performance. It must be shown the same performance each time.
#[derive(Debug, Clone, Default)]
pub struct Analyser {
    settings: Settings,
    recent: RecentIntervals,
    /// Notes looked at so far.
    seen: usize,
    /// First notes of phrases.
    openings: Vec<usize>,
    /// Phrases that are over and have been read.
    over: Vec<Phrase>,
    /// The phrase after those, as far as it has been read.
    growing: Option<PhraseReader>,
}

impl Analyser {
    /// An analyser that has heard nothing.
    #[must_use]
    pub fn new(settings: Settings) -> Self {
        Self { settings, ..Self::default() }
    }

    /// All phrases of a whole performance.
    #[must_use]
    pub fn phrases_of(performance: &Performance, settings: Settings) -> Vec<Phrase> {
        let mut analyser = Self::new(settings);
        analyser.follow(performance);
        let mut phrases = analyser.phrases(performance);
        for phrase in &mut phrases {
            phrase.open = false;
        }
        phrases
    }

    /// Looks at the notes that have come since the last call.
    pub fn follow(&mut self, performance: &Performance) {
        let notes = performance.heard.notes();
        while let Some(note) = notes.get(self.seen) {
            let before = notes.get(..self.seen).unwrap_or_default();
            match before.last() {
                None => self.openings.push(self.seen),
                // Struck together: one onset. A chord's notes lie in order of pitch, so the
                // newest may stand before others of it; the onset was dealt with all the same.
                Some(last) if last.on.second == note.on.second => {}
                Some(last) => {
                    let rest = rest_before(before, note);
                    if self.settings.boundary.parts(rest, &self.recent) {
                        self.openings.push(self.seen);
                    }
                    self.recent.push(note.on.second - last.on.second);
                }
            }
            self.seen += 1;
        }
    }

    /// Forgets what was read from note `first` on: its beats or its metre have been corrected.
    pub fn reread_from(&mut self, first: usize) {
        // A phrase also tells of the rest before it, which begins in the one before.
        let keep = self.over.partition_point(|p| p.last_note + 1 < first);
        if keep < self.over.len() || self.growing.as_ref().is_some_and(|g| first < g.next()) {
            self.growing = None;
        }
        self.over.truncate(keep);
    }

    /// The phrases so far; the last one is open. Empty without a beat grid.
    pub fn phrases(&mut self, performance: &Performance) -> Vec<Phrase> {
        let score = Score {
            notes: performance.heard.notes(),
            lines: BarLines {
                metres: &performance.metres,
                beat_one_offset: self.settings.beat_one_offset,
            },
            tempo: &performance.tempo,
        };
        while let Some(next) = self.openings.get(self.over.len() + 1).copied() {
            let Some(phrase) = self.grow_to(next.saturating_sub(1), score, false) else { break };
            self.over.push(phrase);
            self.growing = None;
        }
        let mut phrases = self.over.clone();
        if let Some(last) = self.seen.checked_sub(1) {
            phrases.extend(self.grow_to(last, score, true));
        }
        phrases
    }

    /// The first phrase that is not over, read up to note `last`.
    fn grow_to(&mut self, last: usize, score: Score<'_>, open: bool) -> Option<Phrase> {
        let first = *self.openings.get(self.over.len())?;
        if self.growing.as_ref().is_none_or(|g| g.first() != first) {
            self.growing = PhraseReader::new(first, score);
        }
        self.growing.as_mut()?.read_to(last, score, open)
    }
}
