//! Finds phrases in a performance as it grows: a live pass, a file or a stored take.
//!
//! In a live pass a boundary is decided at its onset and may be revised once, after two more onsets. A
//! finished take is judged as a whole.

use crate::analysis::overview::TakeOverview;
use crate::melody::{MelodyOnsets, RoleCounts};
use crate::microtiming::tally::FeelTally;
use crate::phrase::figures::Tally;
use crate::phrase::{AnalysisContext, Extent, Phrase, PhraseReader, pulse_position};
use crate::quantization::{BarLines, BeatQuantizer};
use crate::segmentation::{Boundary, BoundaryStatus, Hindsight, SETTLES_AFTER, Segmenter, whole};
use crate::stats::vec_growth::reserve_one;
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::time::Beat;

/// The phrases of one performance. Must be called with the same performance each time.
#[derive(Debug, Clone)]
pub struct Analyser {
    settings: Settings,
    line: MelodyOnsets,
    segmenter: Segmenter,
    /// Phrase starts, each with the index of its onset.
    boundaries: Vec<(usize, Boundary)>,
    over: Vec<Phrase>,
    /// The phrase after those.
    growing: Option<PhraseReader>,
    /// Figures and time feel of the first `tallied` finished phrases.
    tally: Tally,
    feel: FeelTally,
    tallied: usize,
    /// Quantizes the first onsets.
    quantizer: BeatQuantizer,
    /// The performance is complete.
    whole: bool,
}

/// This many of the newest phrases are counted again each time: more than may still be revised.
const UNCOUNTED: usize = 8;

impl Analyser {
    /// An analyser without notes.
    pub fn new(settings: Settings) -> Self {
        Self {
            settings,
            line: MelodyOnsets::new(settings.melody),
            segmenter: Segmenter::new(settings.finer),
            boundaries: Vec::new(),
            over: Vec::new(),
            growing: None,
            tally: Tally::default(),
            feel: FeelTally::default(),
            tallied: 0,
            quantizer: BeatQuantizer::new(settings.feel),
            whole: false,
        }
    }

    /// Analyses a whole performance; returns all its phrases, none of them open.
    pub(super) fn whole(performance: &Performance, settings: Settings) -> (Self, Vec<Phrase>) {
        let mut analyser = Self { whole: true, ..Self::new(settings) };
        let notes = performance.soloist.notes();
        analyser.line.follow(notes);
        let mut boundaries = Vec::new();
        whole::for_each_onset(&analyser.line, notes, settings.finer, |segmenter, onset| {
            let boundary = analyser.boundary(segmenter, onset, Hindsight::After, performance);
            boundaries.extend(boundary);
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

    pub(super) fn settings(&self) -> &Settings {
        &self.settings
    }

    pub(super) fn roles(&self) -> RoleCounts {
        self.line.counts()
    }

    /// How many of the first notes it has processed.
    pub fn followed(&self) -> usize {
        self.line.roles().len()
    }

    /// Processes new notes.
    pub fn follow(&mut self, performance: &Performance) {
        self.follow_some(performance, usize::MAX);
    }

    /// Processes at most `limit` new notes. The result is as if the performance had no others.
    pub fn follow_some(&mut self, performance: &Performance, limit: usize) {
        let notes = performance.soloist.notes();
        let notes = notes.get(..self.followed().saturating_add(limit)).unwrap_or(notes);
        let known = self.line.len();
        let mut changed = self.line.follow(notes);
        if changed < known {
            // The end of the onset before may have changed too.
            let same = changed.checked_sub(1).and_then(|same| self.line.get(same));
            self.rewind_phrases(same.map_or(0, |same| same.first + 1));
            self.quantizer.rewind(changed);
        }
        if !self.segmenter.truncate(changed) {
            self.segmenter = Segmenter::new(self.settings.finer);
            changed = 0;
        }
        // Judge again what changed and what new onsets can settle.
        let from = changed.saturating_sub(SETTLES_AFTER);
        let kept = self.boundaries.partition_point(|(onset, _)| *onset < from);
        let before = self.boundaries.split_off(kept);
        for index in changed..self.line.len() {
            if let Some(onset) = self.line.timed(index, notes) {
                self.segmenter.push(&onset);
            }
            if let Some(settled) = index.checked_sub(SETTLES_AFTER) {
                let hindsight = Hindsight::Settled;
                let boundary = self.boundary(&self.segmenter, settled, hindsight, performance);
                self.boundaries.extend(boundary);
            }
            self.segmenter.drop_old();
        }
        for onset in from.max(self.line.len().saturating_sub(SETTLES_AFTER))..self.line.len() {
            let boundary = self.boundary(&self.segmenter, onset, Hindsight::Live, performance);
            self.boundaries.extend(boundary);
        }
        let now = self.boundaries.get(kept..).unwrap_or_default();
        let first = first_that_differs(now, &before, |now, before| now == before);
        // Quantization depends on where phrases start, not on the status of boundaries.
        let moved = first_that_differs(now, &before, |(now, _), (before, _)| now == before);
        if let Some(first) = first {
            self.rewind_phrases(first);
        }
        if let Some(moved) = moved {
            self.rewind_quantizer(moved);
        }
    }

    /// The boundary at `onset`, if a phrase starts there.
    fn boundary(
        &self,
        segmenter: &Segmenter,
        onset: usize,
        hindsight: Hindsight,
        performance: &Performance,
    ) -> Option<(usize, Boundary)> {
        let melody_onset = self.line.get(onset)?;
        let judgement = segmenter.judge(onset, hindsight);
        let notes = performance.soloist.notes();
        let correction = melody_onset.correction(&performance.corrections, notes);
        let by_hand = correction.map(|correction| correction.begins).filter(|_| onset > 0);
        let status = match (by_hand, hindsight) {
            (Some(_), _) => BoundaryStatus::ByHand,
            (None, Hindsight::Live) if onset > 0 => BoundaryStatus::Provisional,
            (None, _) => BoundaryStatus::Settled,
        };
        let note = melody_onset.first;
        let boundary = Boundary { note, probability: judgement.probability, status };
        by_hand.unwrap_or(judgement.begins).then_some((onset, boundary))
    }

    /// Discards results from note `first` on, because its beats or its metre have changed.
    pub fn invalidate_from(&mut self, first: usize) {
        self.rewind_phrases(first);
        self.rewind_quantizer(first);
    }

    fn rewind_phrases(&mut self, first: usize) {
        // The rest before a phrase depends on the phrase before.
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

    fn rewind_quantizer(&mut self, first: usize) {
        let onsets = self.line.all().partition_point(|onset| onset.note < first);
        self.quantizer.rewind(onsets);
    }

    /// Quantizes new onsets, and again those that may still change.
    fn quantize(&mut self, performance: &Performance) {
        let mut quantizer = core::mem::take(&mut self.quantizer);
        let Self { line, boundaries, settings, .. } = &*self;
        let notes = performance.soloist.notes();
        let bars = BarLines::new(&performance.metres, settings);
        let position = |index: usize| {
            let note = notes.get(line.get(index)?.note)?;
            pulse_position(&bars, &performance.tempo, settings.latency, note)
        };
        let begins = |index| begins(boundaries, index);
        let changed = match self.whole {
            true => quantizer.quantize_whole(line.len(), position, begins),
            false => quantizer.quantize(line.len(), false, position, begins),
        };
        self.quantizer = quantizer;
        if let Some(note) = changed.and_then(|onset| self.line.get(onset)).map(|o| o.note) {
            self.rewind_phrases(note);
        }
    }

    /// The context in which phrases are computed.
    pub(crate) fn context<'a>(&'a self, performance: &'a Performance) -> AnalysisContext<'a> {
        let notes = performance.soloist.notes();
        AnalysisContext {
            notes: notes.get(..self.followed()).unwrap_or(notes),
            line: self.line.all(),
            firm: self.line.firm().min(self.quantizer.settled()),
            roles: self.line.roles(),
            lines: BarLines::new(&performance.metres, &self.settings),
            tempo: &performance.tempo,
            latency: self.settings.latency,
            quantized: self.quantizer.quantized(),
        }
    }

    /// The phrases so far; the last one is open. Empty without a beat grid.
    pub fn phrases(&mut self, performance: &Performance) -> Vec<Phrase> {
        let waiting = self.read(performance);
        self.over.iter().chain(&waiting).copied().collect()
    }

    /// The phrases so far that sound at `since` or later; the last one is open.
    pub fn phrases_since(&mut self, performance: &Performance, since: Beat) -> Vec<Phrase> {
        let waiting = self.read(performance);
        let first = self.over.partition_point(|phrase| phrase.entry.beat < since).saturating_sub(1);
        self.over.iter().skip(first).chain(&waiting).copied().collect()
    }

    /// The overview so far.
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

    /// Computes new phrases; returns the open one.
    fn read(&mut self, performance: &Performance) -> Option<Phrase> {
        self.quantize(performance);
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

    /// The open phrase up to `extent`.
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

/// Whether a phrase starts at onset `index`.
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
