//! Phrases: extent, start and ending, length, rest before it, and prevailing note value; the running
//! figures of a take's phrases, and its alerts.
//!
//! A phrase consists of the quantized onsets between two boundaries. Figures count phrases
//! in order, and every share carries its count.

pub mod alerts;
pub mod bar_line;
pub mod figures;
pub(crate) mod streaks;
pub(crate) mod subdivision;

use crate::input::note::Note;
use crate::melody::{MelodyOnset, NoteRole};
use crate::phrase::subdivision::{NoteValue, StepCount, step};
use crate::quantization::{BarLines, MetricalPosition, PulsePosition, QuantizedOnset};
use crate::segmentation::Boundary;
use crate::time::tempo_map::TempoMap;
use crate::time::{Beat, BeatSpan, Moment, SecondSpan};
use core::ops::Range;

/// The rest before a phrase.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rest {
    /// Its length in seconds.
    pub seconds: SecondSpan,
    /// Its length in beats.
    pub beats: BeatSpan,
}

/// A phrase.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Phrase {
    /// Its start.
    pub boundary: Boundary,
    /// Index of its first note, which may be a grace note or part of a chord.
    pub first_note: usize,
    /// Index of the last note before the next phrase, which may be accompaniment.
    pub last_note: usize,
    /// Its first onset.
    pub opening: MelodyOnset,
    /// Its last onset.
    pub closing: MelodyOnset,
    /// Number of melody notes, including grace notes.
    pub notes: usize,
    /// Position of its first onset.
    pub entry: MetricalPosition,
    /// Position of its last onset's attack.
    pub exit: MetricalPosition,
    /// From the first attack to the last note's end; to its attack while it sounds.
    pub beats: BeatSpan,
    /// The same in bars, also across changes of metre.
    pub bars: f64,
    /// The same in seconds.
    pub seconds: SecondSpan,
    /// The rest before it; `None` for the first of a take.
    pub rest_before: Option<Rest>,
    /// The prevailing note value; `None` if none prevails, or for a single note.
    pub subdivision: Option<NoteValue>,
    /// Notes in its longest unbroken run of eighths.
    pub eighth_run: u32,
    /// It may still grow.
    pub open: bool,
}

impl Phrase {
    /// Whether it starts off the beat.
    pub fn enters_off_beat(&self) -> bool {
        self.entry.class.is_off_beat()
    }

    /// Whether it crosses a bar line.
    pub fn crosses_bar_line(&self) -> bool {
        self.exit.bar > self.entry.bar
    }
}

/// Computes a phrase as it grows: each final onset is processed once.
#[derive(Debug, Clone)]
pub struct PhraseReader {
    boundary: Boundary,
    /// Index of its first onset.
    first: usize,
    /// The next onset to process.
    next: usize,
    opening: MelodyOnset,
    closing: MelodyOnset,
    notes: usize,
    entry: MetricalPosition,
    exit: MetricalPosition,
    steps: StepCount,
}

/// How far a phrase extends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Extent {
    /// The onset after its last.
    pub end: usize,
    /// Index of the last note before that one.
    pub last_note: usize,
    /// It may still grow.
    pub open: bool,
}

/// The notes of a take with their melody, positions, tempo and metres.
#[derive(Debug, Clone, Copy)]
pub struct AnalysisContext<'a> {
    /// All notes of the take.
    pub notes: &'a [Note],
    /// Its melody onsets.
    pub line: &'a [MelodyOnset],
    /// How many of the first onsets are final.
    pub firm: usize,
    /// The role of each note.
    pub roles: &'a [NoteRole],
    /// Its bar lines.
    pub lines: BarLines<'a>,
    /// Its tempo.
    pub tempo: &'a TempoMap,
    /// The input latency.
    pub latency: SecondSpan,
    /// The quantized melody onsets, as far as there is a beat grid.
    pub quantized: &'a [QuantizedOnset],
}

impl AnalysisContext<'_> {
    /// Where onset `onset` fell on the felt pulse; `None` without such an onset or a beat grid.
    pub fn pulse_position(&self, onset: usize) -> Option<PulsePosition> {
        let note = self.notes.get(self.line.get(onset)?.note)?;
        pulse_position(&self.lines, self.tempo, self.latency, note)
    }

    /// The position of onset `onset`; `None` without such an onset or a beat grid.
    pub fn position(&self, onset: usize) -> Option<MetricalPosition> {
        let at = self.pulse_position(onset)?;
        Some(self.lines.metrical_position(&at, self.quantized.get(onset)?))
    }

    /// The indices of a phrase's onsets.
    pub fn onsets(&self, phrase: &Phrase) -> Range<usize> {
        let from = self.line.partition_point(|onset| onset.first < phrase.first_note);
        let to = self.line.partition_point(|onset| onset.first <= phrase.last_note);
        from..to
    }
}

/// Where a note fell on the felt pulse, less the input latency; `None` without a beat grid.
pub(crate) fn pulse_position(
    lines: &BarLines<'_>,
    tempo: &TempoMap,
    latency: SecondSpan,
    note: &Note,
) -> Option<PulsePosition> {
    let beat = played(tempo, note.on, latency)?;
    Some(lines.pulse_position(beat, tempo.tempo_at(beat)?))
}

/// The song position of a note received at `moment`, less the input latency; `None` without a beat grid.
pub fn played(tempo: &TempoMap, moment: Moment, latency: SecondSpan) -> Option<Beat> {
    if latency == SecondSpan(0.0) {
        return (!tempo.knots().is_empty()).then_some(moment.beat);
    }
    let late = tempo.beat_at(moment.second)? - tempo.beat_at(moment.second - latency)?;
    Some(moment.beat - late)
}

impl PhraseReader {
    /// A phrase from `boundary`, which is at onset `first`. `None` without such an onset or a beat grid.
    pub fn new(boundary: Boundary, first: usize, context: AnalysisContext<'_>) -> Option<Self> {
        let opening = *context.line.get(first)?;
        let entry = context.position(first)?;
        Some(Self {
            boundary,
            first,
            next: first + 1,
            opening,
            closing: opening,
            notes: opening.notes(),
            entry,
            exit: entry,
            steps: StepCount::default(),
        })
    }

    /// Whether it starts at `boundary`, which is at onset `first`.
    pub fn begins_at(&self, boundary: Boundary, first: usize) -> bool {
        (self.boundary, self.first) == (boundary, first)
    }

    /// The next onset to process.
    pub fn next(&self) -> usize {
        self.next
    }

    /// Processes onsets up to `extent` and returns the phrase; `None` without a beat grid. Only final
    /// onsets are kept, the others are processed again each time.
    pub fn read_to(&mut self, extent: Extent, context: AnalysisContext<'_>) -> Option<Phrase> {
        while self.next < extent.end.min(context.firm) {
            self.take(context)?;
        }
        let mut all = if self.first < context.firm {
            self.clone()
        } else {
            Self::new(self.boundary, self.first, context)?
        };
        while all.next < extent.end {
            all.take(context)?;
        }
        all.phrase(extent, context)
    }

    /// Processes the next onset.
    fn take(&mut self, context: AnalysisContext<'_>) -> Option<()> {
        let position = context.position(self.next)?;
        self.closing = *context.line.get(self.next)?;
        self.notes += self.closing.notes();
        self.steps.push(step(&self.exit, &position));
        self.exit = position;
        self.next += 1;
        Some(())
    }

    fn phrase(&self, extent: Extent, context: AnalysisContext<'_>) -> Option<Phrase> {
        let begins = self.opening.on(context.notes)?;
        let struck = self.closing.on(context.notes)?;
        let off = self.closing.off(context.notes).filter(|off| off.second > struck.second);
        let end = off.unwrap_or(struck);
        let bars = context.lines.bars_to(end.beat) - context.lines.bars_to(begins.beat);
        Some(Phrase {
            boundary: self.boundary,
            first_note: self.boundary.note,
            last_note: extent.last_note,
            opening: self.opening,
            closing: self.closing,
            notes: self.notes,
            entry: self.entry,
            exit: self.exit,
            beats: end.beat - begins.beat,
            bars,
            seconds: end.second - begins.second,
            rest_before: self.rest_before(context),
            subdivision: self.steps.prevailing(),
            eighth_run: self.steps.longest_eighth_run(),
            open: extent.open,
        })
    }

    /// The rest before it; `None` while the onset before still sounds.
    fn rest_before(&self, context: AnalysisContext<'_>) -> Option<Rest> {
        let before = context.line.get(self.first.checked_sub(1)?)?;
        let ended = before.off(context.notes)?;
        let opens = self.opening.opens(context.notes)?;
        Some(Rest {
            seconds: SecondSpan((opens.second - ended.second).0.max(0.0)),
            beats: BeatSpan((opens.beat - ended.beat).0.max(0.0)),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::tempo_map::Knot;
    use crate::time::{Second, Tempo};

    #[test]
    fn the_delay_of_a_rig_is_taken_off() {
        let mut tempo = TempoMap::default();
        let knot = |second, beat, bpm| Knot {
            second: Second(second),
            beat: Beat(beat),
            tempo: Tempo::new(bpm).unwrap(),
        };
        tempo.push(knot(0.0, 0.0, 120.0));
        tempo.push(knot(2.0, 4.0, 60.0));
        let at = |second: f64, latency| {
            let moment = Moment { second: Second(second), beat: tempo.beat_at(Second(second))? };
            played(&tempo, moment, SecondSpan(latency))
        };
        assert!((at(1.05, 0.05).unwrap().0 - 2.0).abs() < 1e-12);
        // Played before the tempo changed.
        assert!((at(2.02, 0.04).unwrap().0 - 3.96).abs() < 1e-12);
        assert_eq!(at(1.05, 0.0), tempo.beat_at(Second(1.05)));
        assert_eq!(played(&TempoMap::default(), Moment::default(), SecondSpan(0.0)), None);
    }
}
