//! Finds phrases in a performance as it grows. The same code follows a live pass, reads a file
//! and reads a stored take anew.
//!
//! A live pass is heard with the least hindsight: a boundary is decided at its onset, and may be
//! revised once, when two more onsets have come. A take that is over is heard whole.

use crate::boundary::{Boundary, Standing};
use crate::corrections::Corrections;
use crate::ear::{Ear, Hindsight, SETTLES_AFTER};
use crate::figures::{Figures, Tally, figures};
use crate::line::Line;
use crate::note::Note;
use crate::performance::Performance;
use crate::phrase::{Phrase, PhraseReader, Score};
use crate::place::BarLines;
use crate::settings::Settings;
use crate::snapshot::SHOWN_PHRASES;

/// The phrases of one performance. It must be shown the same performance each time.
#[derive(Debug, Clone)]
pub struct Analyser {
    settings: Settings,
    line: Line,
    ear: Ear,
    /// Where phrases begin, each with its onset.
    boundaries: Vec<(usize, Boundary)>,
    /// Phrases that are over and have been read.
    over: Vec<Phrase>,
    /// The phrase after those, as far as it has been read.
    growing: Option<PhraseReader>,
    /// The first phrases of those that are over, counted.
    tally: Tally,
    tallied: usize,
}

/// What is to be shown of a performance.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Newest {
    /// Its newest phrases, at most [`SHOWN_PHRASES`], in order.
    pub phrases: Vec<Phrase>,
    /// How many older phrases are left out.
    pub before: usize,
    /// The figures of all phrases.
    pub figures: Figures,
}

impl Newest {
    /// Of all `phrases` of a performance.
    #[must_use]
    pub fn of(mut phrases: Vec<Phrase>, settings: &Settings) -> Self {
        let figures = figures(&phrases, &settings.alerts);
        let before = phrases.len().saturating_sub(SHOWN_PHRASES);
        phrases.drain(..before);
        Self { phrases, before, figures }
    }
}

/// As many of the newest phrases are counted anew each time: those that may still be revised,
/// and more.
const UNCOUNTED: usize = 8;

impl Analyser {
    /// An analyser that has heard nothing.
    #[must_use]
    pub fn new(settings: Settings) -> Self {
        Self {
            settings,
            line: Line::default(),
            ear: Ear::new(settings.finer),
            boundaries: Vec::new(),
            over: Vec::new(),
            growing: None,
            tally: Tally::default(),
            tallied: 0,
        }
    }

    /// All phrases of a whole performance.
    #[must_use]
    pub fn phrases_of(performance: &Performance, settings: Settings) -> Vec<Phrase> {
        let mut analyser = Self::new(settings);
        let notes = performance.heard.notes();
        analyser.line.follow(notes);
        analyser.line.onsets(notes).for_each(|onset| analyser.ear.push(&onset));
        analyser.ear.complete();
        for onset in 0..analyser.line.len() {
            let boundary =
                analyser.boundary(onset, Hindsight::After, notes, &performance.corrections);
            analyser.boundaries.extend(boundary);
        }
        let mut phrases = analyser.phrases(performance);
        for phrase in &mut phrases {
            phrase.open = false;
        }
        phrases
    }

    /// Looks at the notes that have come since the last call.
    pub fn follow(&mut self, performance: &Performance) {
        let notes = performance.heard.notes();
        let mut changed = self.line.follow(notes);
        if !self.ear.take_back_to(changed) {
            self.ear = Ear::new(self.settings.finer);
            changed = 0;
        }
        for index in changed..self.line.len() {
            if let Some(onset) = self.line.onset(index, notes) {
                self.ear.push(&onset);
            }
            self.ear.forget_the_past();
        }
        // All that a new onset can settle or has changed is judged anew.
        let from = changed.saturating_sub(SETTLES_AFTER);
        let kept = self.boundaries.partition_point(|(onset, _)| *onset < from);
        let before = self.boundaries.split_off(kept);
        for onset in from..self.line.len() {
            let settled = onset + SETTLES_AFTER < self.line.len();
            let hindsight = if settled { Hindsight::Settled } else { Hindsight::Live };
            let boundary = self.boundary(onset, hindsight, notes, &performance.corrections);
            self.boundaries.extend(boundary);
        }
        let now = self.boundaries.get(kept..).unwrap_or_default();
        let same = now.iter().zip(&before).take_while(|(now, before)| now == before).count();
        let differs = [now.get(same), before.get(same)].into_iter().flatten();
        if let Some(first) = differs.map(|(_, boundary)| boundary.note).min() {
            self.reread_from(first);
        }
    }

    /// Whether a phrase begins at `onset`.
    fn boundary(
        &self,
        onset: usize,
        hindsight: Hindsight,
        notes: &[Note],
        corrections: &Corrections,
    ) -> Option<(usize, Boundary)> {
        let note = self.line.get(onset)?.first;
        let heard = self.ear.judge(onset, hindsight);
        let by_hand = corrections.at(notes.get(note)?.on.second).filter(|_| onset > 0);
        let standing = match (by_hand, hindsight) {
            (Some(_), _) => Standing::ByHand,
            (None, Hindsight::Live) if onset > 0 => Standing::Provisional,
            (None, _) => Standing::Settled,
        };
        let boundary = Boundary { note, probability: heard.probability, standing };
        by_hand.unwrap_or(heard.begins).then_some((onset, boundary))
    }

    /// Forgets what was read from note `first` on: its beats or its metre have been corrected.
    pub fn reread_from(&mut self, first: usize) {
        // A phrase also tells of the rest before it, which begins in the one before.
        let keep = self.over.partition_point(|p| p.last_note + 1 < first);
        if keep < self.over.len() || self.growing.as_ref().is_some_and(|g| first < g.next()) {
            self.growing = None;
        }
        self.over.truncate(keep);
        if self.tallied > keep {
            (self.tally, self.tallied) = (Tally::default(), 0);
        }
    }

    /// The phrases so far; the last one is open. Empty without a beat grid.
    pub fn phrases(&mut self, performance: &Performance) -> Vec<Phrase> {
        let open = self.read(performance);
        self.over.iter().chain(&open).copied().collect()
    }

    /// The newest phrases so far, with the figures of all.
    pub fn newest(&mut self, performance: &Performance) -> Newest {
        let open = self.read(performance);
        let alerts = &self.settings.alerts;
        let counted = self.over.len().saturating_sub(UNCOUNTED).max(self.tallied);
        let fresh = self.over.get(self.tallied..counted).unwrap_or_default();
        fresh.iter().for_each(|phrase| self.tally.add(phrase, alerts));
        self.tallied = counted;
        let tail = self.over.iter().skip(counted).chain(&open).copied();
        let figures = self.tally.figures_with(&tail.collect::<Vec<_>>(), alerts);
        let all = self.over.len() + usize::from(open.is_some());
        let before = all.saturating_sub(SHOWN_PHRASES);
        let phrases = self.over.iter().chain(&open).skip(before).copied().collect();
        Newest { phrases, before, figures }
    }

    /// Reads what has come: the phrases that are over, and the open one.
    fn read(&mut self, performance: &Performance) -> Option<Phrase> {
        let score = Score {
            notes: performance.heard.notes(),
            lines: BarLines {
                metres: &performance.metres,
                beat_one_offset: self.settings.beat_one_offset,
            },
            tempo: &performance.tempo,
        };
        while let Some((_, next)) = self.boundaries.get(self.over.len() + 1).copied() {
            let last = next.note.saturating_sub(1);
            let phrase = self.grow_to(last, score, false)?;
            self.over.push(phrase);
            self.growing = None;
        }
        self.grow_to(self.line.notes().checked_sub(1)?, score, true)
    }

    /// The first phrase that is not over, read up to note `last`.
    fn grow_to(&mut self, last: usize, score: Score<'_>, open: bool) -> Option<Phrase> {
        let (_, boundary) = *self.boundaries.get(self.over.len())?;
        if self.growing.as_ref().is_none_or(|g| g.boundary() != boundary) {
            self.growing = PhraseReader::new(boundary, score);
        }
        self.growing.as_mut()?.read_to(last, score, open)
    }
}
