//! Finds phrases in a performance as it grows. The same code follows a live pass, reads a file
//! and reads a stored take anew.

use crate::boundary::{RecentIntervals, rest_before};
use crate::performance::Performance;
use crate::phrase::{Phrase, PhraseReader, Score};
use crate::place::BarLines;
use crate::reading::{PlaceReader, Reading, Timing};
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
    places: PlaceReader,
    /// The first note of each onset whose place has been read.
    onsets: Vec<usize>,
    /// The readings of a take that is over.
    whole: Option<Vec<Reading>>,
}

impl Analyser {
    /// An analyser that has heard nothing.
    #[must_use]
    pub fn new(settings: Settings) -> Self {
        Self { settings, places: PlaceReader::new(settings.feel), ..Self::default() }
    }

    /// All phrases of a whole performance.
    #[must_use]
    pub fn phrases_of(performance: &Performance, settings: Settings) -> Vec<Phrase> {
        let mut analyser = Self::new(settings);
        analyser.follow(performance);
        analyser.read_places(performance);
        analyser.whole = Some(analyser.places.whole().readings);
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
        let onsets = self.onsets.partition_point(|onset| *onset < first);
        self.onsets.truncate(onsets);
        self.places.rewind(onsets);
    }

    /// Reads the places of the onsets that have come since the last call.
    fn read_places(&mut self, performance: &Performance) {
        let notes = performance.heard.notes();
        let from = self.onsets.last().map_or(0, |last| last + 1);
        let mut before = self.onsets.last().and_then(|last| notes.get(*last)).map(|n| n.on.second);
        for (index, note) in notes.iter().enumerate().take(self.seen).skip(from) {
            if before == Some(note.on.second) {
                continue;
            }
            before = Some(note.on.second);
            let Some(spot) = self.score(performance).spot(note) else { return };
            self.places.push(spot, self.openings.binary_search(&index).is_ok());
            self.onsets.push(index);
        }
    }

    fn score<'a>(&'a self, performance: &'a Performance) -> Score<'a> {
        Score {
            notes: performance.heard.notes(),
            lines: BarLines {
                metres: &performance.metres,
                beat_one_offset: self.settings.beat_one_offset,
                pulse: self.settings.pulse,
            },
            tempo: &performance.tempo,
            latency: self.settings.latency,
            onsets: &self.onsets,
            readings: self.whole.as_deref().unwrap_or_else(|| self.places.readings()),
        }
    }

    /// The phrases so far; the last one is open. Empty without a beat grid.
    pub fn phrases(&mut self, performance: &Performance) -> Vec<Phrase> {
        self.read_places(performance);
        while let Some(next) = self.openings.get(self.over.len() + 1).copied() {
            let Some(phrase) = self.grow_to(next.saturating_sub(1), performance, false) else {
                break;
            };
            // What may still change is read anew the next time.
            if !phrase.entry.settled || !phrase.exit.settled {
                break;
            }
            self.over.push(phrase);
            self.growing = None;
        }
        let mut phrases = self.over.clone();
        let last = self.seen.checked_sub(1);
        let waiting = self.openings.get(phrases.len()..).unwrap_or_default().to_vec();
        let ends = waiting.iter().skip(1).map(|next| next.checked_sub(1)).chain([last]);
        let mut ends = ends.zip(waiting.iter().skip(1).map(|_| false).chain([true]));
        if let Some((Some(end), open)) = ends.next() {
            phrases.extend(self.grow_to(end, performance, open));
        }
        let score = self.score(performance);
        for (first, (end, open)) in waiting.iter().skip(1).zip(ends) {
            let reader = PhraseReader::new(*first, score);
            phrases.extend(reader.zip(end).and_then(|(mut r, end)| r.read_to(end, score, open)));
        }
        phrases
    }

    /// The first phrase that is not over, read up to note `last`.
    fn grow_to(&mut self, last: usize, performance: &Performance, open: bool) -> Option<Phrase> {
        let first = *self.openings.get(self.over.len())?;
        let mut growing = self.growing.take();
        let score = self.score(performance);
        if growing.as_ref().is_none_or(|g| g.first() != first) {
            growing = PhraseReader::new(first, score);
        }
        let phrase = growing.as_mut()?.read_to(last, score, open);
        self.growing = growing;
        phrase
    }
}

/// The places of a take that is over, or taken to be.
#[derive(Debug, Clone)]
pub struct WholeReading {
    analyser: Analyser,
    timing: Timing,
}

impl WholeReading {
    /// Reads `performance`, whose phrases begin where `phrases` do.
    #[must_use]
    pub fn of(performance: &Performance, phrases: &[Phrase], settings: &Settings) -> Self {
        let mut analyser = Analyser::new(*settings);
        analyser.openings = phrases.iter().map(|p| p.first_note).collect();
        analyser.seen = performance.heard.notes().len();
        analyser.read_places(performance);
        let whole = analyser.places.whole();
        analyser.whole = Some(whole.readings);
        Self { analyser, timing: whole.timing }
    }

    /// The player's lag, swing and scatter over the take.
    #[must_use]
    pub fn timing(&self) -> Timing {
        self.timing
    }

    /// What phrases are read against.
    #[must_use]
    pub fn score<'a>(&'a self, performance: &'a Performance) -> Score<'a> {
        self.analyser.score(performance)
    }
}
