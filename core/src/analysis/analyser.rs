//! Finds phrases in a performance as it grows. The same code follows a live pass, reads a file
//! and reads a stored take anew.
//!
//! A live pass is heard with the least hindsight: a boundary is decided at its onset, and may be
//! revised once, when two more onsets have come. A take that is over is heard whole.

use crate::analysis::overview::TakeOverview;
use crate::figures::Tally;
use crate::melody::MelodyOnsets;
use crate::melody::RoleCounts;
use crate::microtiming::tally::FeelTally;
use crate::phrase::{AnalysisContext, Extent, Phrase, PhraseReader, spot};
use crate::quantization::BarLines;
use crate::quantization::BeatQuantizer;
use crate::segmentation::{Boundary, BoundaryStatus};
use crate::segmentation::{Hindsight, SETTLES_AFTER, Segmenter, whole};
use crate::settings::Settings;
use crate::stats::vec_growth::reserve_one;
use crate::take::performance::Performance;
use crate::time::Beat;

/// The phrases of one performance. It must be shown the same performance each time.
#[derive(Debug, Clone)]
pub struct Analyser {
    settings: Settings,
    line: MelodyOnsets,
    ear: Segmenter,
    /// Where phrases begin, each with its onset.
    boundaries: Vec<(usize, Boundary)>,
    /// Phrases that are over and have been read.
    over: Vec<Phrase>,
    /// The phrase after those, as far as it has been read.
    growing: Option<PhraseReader>,
    /// The first phrases of those that are over, counted.
    tally: Tally,
    feel: FeelTally,
    tallied: usize,
    /// The places of the first onsets.
    places: BeatQuantizer,
    /// No more notes will come.
    whole: bool,
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
            line: MelodyOnsets::new(settings.melody),
            ear: Segmenter::new(settings.finer),
            boundaries: Vec::new(),
            over: Vec::new(),
            growing: None,
            tally: Tally::default(),
            feel: FeelTally::default(),
            tallied: 0,
            places: BeatQuantizer::new(settings.feel),
            whole: false,
        }
    }

    /// Analyses a whole performance; gives all its phrases, none of them open.
    pub(super) fn whole(performance: &Performance, settings: Settings) -> (Self, Vec<Phrase>) {
        let mut analyser = Self { whole: true, ..Self::new(settings) };
        let notes = performance.heard.notes();
        analyser.line.follow(notes);
        let mut boundaries = Vec::new();
        whole::for_each_onset(&analyser.line, notes, settings.finer, |ear, onset| {
            boundaries.extend(analyser.boundary(ear, onset, Hindsight::After, performance));
        });
        analyser.boundaries = boundaries;
        let last = analyser.read(performance);
        analyser.growing = None;
        let mut phrases = core::mem::take(&mut analyser.over);
        phrases.extend(last.map(|last| Phrase { open: false, ..last }));
        phrases.shrink_to_fit();
        analyser.boundaries.shrink_to_fit();
        (analyser, phrases)
    }

    /// The settings in force.
    pub(super) fn settings(&self) -> &Settings {
        &self.settings
    }

    /// Note count per role.
    pub(super) fn roles(&self) -> RoleCounts {
        self.line.counts()
    }

    /// Looks at the notes that have come since the last call.
    pub fn follow(&mut self, performance: &Performance) {
        let notes = performance.heard.notes();
        let known = self.line.len();
        let mut changed = self.line.follow(notes);
        if changed < known {
            // The onset before may have been let go, or be held, by another note than before.
            let same = changed.checked_sub(1).and_then(|same| self.line.get(same));
            self.reread_phrases_from(same.map_or(0, |same| same.first + 1));
            self.places.rewind(changed);
        }
        if !self.ear.truncate(changed) {
            self.ear = Segmenter::new(self.settings.finer);
            changed = 0;
        }
        // All that a new onset can settle or has changed is judged anew.
        let from = changed.saturating_sub(SETTLES_AFTER);
        let kept = self.boundaries.partition_point(|(onset, _)| *onset < from);
        let before = self.boundaries.split_off(kept);
        for index in changed..self.line.len() {
            if let Some(onset) = self.line.timed(index, notes) {
                self.ear.push(&onset);
            }
            if let Some(settled) = index.checked_sub(SETTLES_AFTER) {
                let boundary = self.boundary(&self.ear, settled, Hindsight::Settled, performance);
                self.boundaries.extend(boundary);
            }
            self.ear.drop_old();
        }
        for onset in from.max(self.line.len().saturating_sub(SETTLES_AFTER))..self.line.len() {
            let boundary = self.boundary(&self.ear, onset, Hindsight::Live, performance);
            self.boundaries.extend(boundary);
        }
        let now = self.boundaries.get(kept..).unwrap_or_default();
        let first = first_that_differs(now, &before, |now, before| now == before);
        // Places depend on where phrases begin, not on how sure that is.
        let moved = first_that_differs(now, &before, |(now, _), (before, _)| now == before);
        if let Some(first) = first {
            self.reread_phrases_from(first);
        }
        if let Some(moved) = moved {
            self.reread_places_from(moved);
        }
    }

    /// Whether a phrase begins at `onset`.
    fn boundary(
        &self,
        ear: &Segmenter,
        onset: usize,
        hindsight: Hindsight,
        performance: &Performance,
    ) -> Option<(usize, Boundary)> {
        let struck = self.line.get(onset)?;
        let heard = ear.judge(onset, hindsight);
        let said = struck.correction(&performance.corrections, performance.heard.notes());
        let by_hand = said.map(|said| said.begins).filter(|_| onset > 0);
        let status = match (by_hand, hindsight) {
            (Some(_), _) => BoundaryStatus::ByHand,
            (None, Hindsight::Live) if onset > 0 => BoundaryStatus::Provisional,
            (None, _) => BoundaryStatus::Settled,
        };
        let note = struck.first;
        let boundary = Boundary { note, probability: heard.probability, status };
        by_hand.unwrap_or(heard.begins).then_some((onset, boundary))
    }

    /// Forgets what was read from note `first` on: its beats or its metre have been corrected.
    pub fn reread_from(&mut self, first: usize) {
        self.reread_phrases_from(first);
        self.reread_places_from(first);
    }

    fn reread_phrases_from(&mut self, first: usize) {
        // A phrase also tells of the rest before it, which begins in the one before.
        let keep = self.over.partition_point(|p| p.last_note + 1 < first);
        let grown = self.growing.as_ref().and_then(|g| self.line.get(g.next().checked_sub(1)?));
        if keep < self.over.len() || grown.is_none_or(|grown| first <= grown.note) {
            self.growing = None;
        }
        self.over.truncate(keep);
        if self.tallied > keep {
            self.tallied = 0;
            (self.tally, self.feel) = (Tally::default(), FeelTally::default());
        }
    }

    fn reread_places_from(&mut self, first: usize) {
        let onsets = self.line.all().partition_point(|onset| onset.note < first);
        self.places.rewind(onsets);
    }

    /// Reads the places of the onsets that have come since the last call, and those again that may
    /// still change.
    fn read_places(&mut self, performance: &Performance) {
        let mut places = core::mem::take(&mut self.places);
        let Self { line, boundaries, settings, .. } = &*self;
        let notes = performance.heard.notes();
        let bars = bar_lines(settings, performance);
        let fell = |index: usize| {
            let note = notes.get(line.get(index)?.note)?;
            spot(&bars, &performance.tempo, settings.latency, note)
        };
        let begins = |index| begins(boundaries, index);
        let changed = match self.whole {
            true => places.quantize_whole(line.len(), fell, begins),
            false => places.quantize(line.len(), false, fell, begins),
        };
        self.places = places;
        if let Some(note) = changed.and_then(|onset| self.line.get(onset)).map(|o| o.note) {
            self.reread_phrases_from(note);
        }
    }

    /// What phrases are read against.
    pub(crate) fn context<'a>(&'a self, performance: &'a Performance) -> AnalysisContext<'a> {
        AnalysisContext {
            notes: performance.heard.notes(),
            line: self.line.all(),
            firm: self.line.firm().min(self.places.settled()),
            roles: self.line.roles(),
            lines: bar_lines(&self.settings, performance),
            tempo: &performance.tempo,
            latency: self.settings.latency,
            quantized: self.places.quantized(),
        }
    }

    /// The phrases so far; the last one is open. Empty without a beat grid.
    pub fn phrases(&mut self, performance: &Performance) -> Vec<Phrase> {
        let waiting = self.read(performance);
        self.over.iter().chain(&waiting).copied().collect()
    }

    /// The phrases so far that go on at `since` or later; the last one is open.
    pub fn phrases_since(&mut self, performance: &Performance, since: Beat) -> Vec<Phrase> {
        let waiting = self.read(performance);
        let first = self.over.partition_point(|phrase| phrase.entry.beat < since).saturating_sub(1);
        self.over.iter().skip(first).chain(&waiting).copied().collect()
    }

    /// The newest phrases so far, with the figures of all.
    pub fn newest(&mut self, performance: &Performance) -> TakeOverview {
        let waiting = self.read(performance);
        let counted = self.over.len().saturating_sub(UNCOUNTED).max(self.tallied);
        let mut feel = core::mem::take(&mut self.feel);
        let alerts = &self.settings.alerts;
        for phrase in self.over.get(self.tallied..counted).unwrap_or_default() {
            self.tally.add(phrase, alerts);
            feel.add(phrase, self.context(performance));
        }
        self.tallied = counted;
        let tail: Vec<Phrase> = self.over.iter().skip(counted).chain(&waiting).copied().collect();
        let shown_feel = feel.feel_with(&tail, self.context(performance));
        self.feel = feel;
        let figures = self.tally.figures_with(&tail, alerts);
        let count = self.over.len() + usize::from(waiting.is_some());
        let phrases = self.over.iter().chain(&waiting).copied();
        TakeOverview::of(phrases, count, (figures, shown_feel, self.roles()))
    }

    /// Reads what has come. Gives the phrase that is not over.
    fn read(&mut self, performance: &Performance) -> Option<Phrase> {
        self.read_places(performance);
        while let Some((end, next)) = self.boundaries.get(self.over.len() + 1).copied() {
            let last_note = next.note.saturating_sub(1);
            let extent = Extent { end, last_note, open: false };
            let phrase = self.grow_to(extent, performance)?;
            reserve_one(&mut self.over);
            self.over.push(phrase);
            self.growing = None;
        }
        let last_note = self.line.roles().len().checked_sub(1)?;
        self.grow_to(Extent { end: self.line.len(), last_note, open: true }, performance)
    }

    /// The first phrase that is not over, read up to `extent`.
    fn grow_to(&mut self, extent: Extent, performance: &Performance) -> Option<Phrase> {
        let (onset, boundary) = *self.boundaries.get(self.over.len())?;
        let mut growing = self.growing.take().filter(|g| g.begins_at(boundary, onset));
        let context = self.context(performance);
        if growing.is_none() {
            growing = PhraseReader::new(boundary, onset, context);
        }
        let phrase = growing.as_mut()?.read_to(extent, context);
        self.growing = growing;
        phrase
    }
}

/// Bar lines as the player counts them.
fn bar_lines<'a>(settings: &Settings, performance: &'a Performance) -> BarLines<'a> {
    BarLines {
        metres: &performance.metres,
        beat_one_offset: settings.beat_one_offset,
        pulse: settings.pulse,
    }
}

/// Whether a phrase begins at onset `index`.
fn begins(boundaries: &[(usize, Boundary)], index: usize) -> bool {
    boundaries.binary_search_by_key(&index, |(onset, _)| *onset).is_ok()
}

/// The note of the first boundary in which two lists differ.
fn first_that_differs(
    now: &[(usize, Boundary)],
    before: &[(usize, Boundary)],
    are_same: impl Fn(&(usize, Boundary), &(usize, Boundary)) -> bool,
) -> Option<usize> {
    let same = now.iter().zip(before).take_while(|(now, before)| are_same(now, before)).count();
    let differing = [now.get(same), before.get(same)].into_iter().flatten();
    differing.map(|(_, boundary)| boundary.note).min()
}
