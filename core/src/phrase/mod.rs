//! Phrases: extent, first and last onset, length, and the prevailing subdivision.
//!
//! A phrase is made of quantized onsets between two boundaries. It holds what follows from its own
//! notes; figures over several phrases belong to later stages.

pub mod bar_line;
pub mod subdivision;

use crate::input::note::Note;
use crate::melody::{MelodyOnset, NoteRole};
use crate::phrase::subdivision::{StepCount, Subdivision, step};
use crate::quantization::PulsePosition;
use crate::quantization::QuantizedOnset;
use crate::quantization::{BarLines, MetricalPosition};
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

/// A phrase: a stretch of notes without a boundary.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Phrase {
    /// Where it begins, and how sure that is.
    pub boundary: Boundary,
    /// Index of its first note, a grace note or one of a chord among them.
    pub first_note: usize,
    /// Index of the last note before the next phrase, of whatever is played under the line among
    /// them.
    pub last_note: usize,
    /// The onset it begins with.
    pub opening: MelodyOnset,
    /// The onset it ends with.
    pub closing: MelodyOnset,
    /// How many notes of the line it has, grace notes among them.
    pub notes: usize,
    /// MetricalPosition of the onset it begins with.
    pub entry: MetricalPosition,
    /// MetricalPosition of the attack of the onset it ends with.
    pub exit: MetricalPosition,
    /// From the first attack to the last note's end; to its attack while it sounds.
    pub beats: BeatSpan,
    /// The same in bars, through changes of metre.
    pub bars: f64,
    /// The same in seconds.
    pub seconds: SecondSpan,
    /// The rest before it; `None` for the first of a take.
    pub rest_before: Option<Rest>,
    /// The note value that prevails.
    pub subdivision: Subdivision,
    /// Notes in its longest unbroken run of eighths.
    pub eighth_run: u32,
    /// It may still grow.
    pub open: bool,
}

impl Phrase {
    /// Whether grace notes come before the onset it begins with. They do not move its entry.
    #[must_use]
    pub fn is_ornamented(&self) -> bool {
        self.opening.ornaments > 0
    }

    /// Whether it comes in off the beat.
    #[must_use]
    pub fn enters_off_beat(&self) -> bool {
        self.entry.class.is_off_beat()
    }

    /// Whether it sounds over a bar line.
    #[must_use]
    pub fn crosses_bar_line(&self) -> bool {
        self.exit.bar > self.entry.bar
    }
}

/// Reads a phrase as it grows: each onset that is firm is looked at once.
#[derive(Debug, Clone)]
pub struct PhraseReader {
    boundary: Boundary,
    /// Index of the onset it begins with.
    first: usize,
    /// The onset after those that have been read.
    next: usize,
    opening: MelodyOnset,
    closing: MelodyOnset,
    notes: usize,
    entry: MetricalPosition,
    exit: MetricalPosition,
    steps: StepCount,
}

/// How far a phrase is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Extent {
    /// The onset after its last.
    pub end: usize,
    /// Index of the last note before that one.
    pub last_note: usize,
    /// It may still grow.
    pub open: bool,
}

/// What a phrase is read against.
#[derive(Debug, Clone, Copy)]
pub struct AnalysisContext<'a> {
    /// All notes of the take.
    pub notes: &'a [Note],
    /// Its line.
    pub line: &'a [MelodyOnset],
    /// How many of the first onsets will not change any more.
    pub firm: usize,
    /// What each note is to the line.
    pub roles: &'a [NoteRole],
    /// Its bar lines.
    pub lines: BarLines<'a>,
    /// Its tempo.
    pub tempo: &'a TempoMap,
    /// How long after it was played a note comes in.
    pub latency: SecondSpan,
    /// The onsets on the grid, one per melody onset as far as there is a beat grid.
    pub quantized: &'a [QuantizedOnset],
}

impl AnalysisContext<'_> {
    /// Where a note fell on the felt pulse; `None` without a beat grid.
    #[must_use]
    pub fn pulse_position(&self, note: &Note) -> Option<PulsePosition> {
        spot(&self.lines, self.tempo, self.latency, note)
    }

    /// The place of an onset, by its index in the line; `None` where there is no such onset or no
    /// beat grid.
    #[must_use]
    pub fn position(&self, onset: usize) -> Option<MetricalPosition> {
        let note = self.notes.get(self.line.get(onset)?.note)?;
        Some(self.lines.metrical_position(&self.pulse_position(note)?, self.quantized.get(onset)?))
    }

    /// The onsets of a phrase, by their index in the line.
    #[must_use]
    pub fn onsets(&self, phrase: &Phrase) -> Range<usize> {
        let from = self.line.partition_point(|onset| onset.first < phrase.first_note);
        let to = self.line.partition_point(|onset| onset.first <= phrase.last_note);
        from..to
    }
}

/// Where a note fell on the felt pulse of `lines`, with the delay of the player's rig taken off;
/// `None` without a beat grid.
#[must_use]
pub fn spot(
    lines: &BarLines<'_>,
    tempo: &TempoMap,
    latency: SecondSpan,
    note: &Note,
) -> Option<PulsePosition> {
    let beat = played(tempo, note.on, latency)?;
    Some(lines.pulse_position(beat, tempo.tempo_at(beat)?))
}

/// Where in the song a note was played that came in at `moment`, with the delay of the player's
/// rig taken off.
#[must_use]
pub fn played(tempo: &TempoMap, moment: Moment, latency: SecondSpan) -> Option<Beat> {
    if latency == SecondSpan(0.0) {
        return (!tempo.knots().is_empty()).then_some(moment.beat);
    }
    let late = tempo.beat_at(moment.second)? - tempo.beat_at(moment.second - latency)?;
    Some(moment.beat - late)
}

impl PhraseReader {
    /// Begins at `boundary`, which is at onset `first`. `None` where there is no such onset or no
    /// beat grid.
    #[must_use]
    pub fn new(boundary: Boundary, first: usize, score: AnalysisContext<'_>) -> Option<Self> {
        let opening = *score.line.get(first)?;
        let entry = score.position(first)?;
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

    /// Whether it begins at `boundary`, which is at onset `first`.
    #[must_use]
    pub fn begins_at(&self, boundary: Boundary, first: usize) -> bool {
        (self.boundary, self.first) == (boundary, first)
    }

    /// How far it has read: the onset after the last one taken in.
    #[must_use]
    pub fn next(&self) -> usize {
        self.next
    }

    /// Reads on up to `extent`, and gives the phrase as it is then. `None` without a beat grid.
    /// Only what is firm is kept; the rest is read anew each time.
    pub fn read_to(&mut self, extent: Extent, score: AnalysisContext<'_>) -> Option<Phrase> {
        while self.next < extent.end.min(score.firm) {
            self.take(score)?;
        }
        let mut all = if self.first < score.firm {
            self.clone()
        } else {
            Self::new(self.boundary, self.first, score)?
        };
        while all.next < extent.end {
            all.take(score)?;
        }
        all.phrase(extent, score)
    }

    /// Takes in the next onset.
    fn take(&mut self, score: AnalysisContext<'_>) -> Option<()> {
        let place = score.position(self.next)?;
        self.closing = *score.line.get(self.next)?;
        self.notes += self.closing.notes();
        self.steps.push(step(&self.exit, &place));
        self.exit = place;
        self.next += 1;
        Some(())
    }

    fn phrase(&self, extent: Extent, score: AnalysisContext<'_>) -> Option<Phrase> {
        let begins = self.opening.on(score.notes)?;
        let struck = self.closing.on(score.notes)?;
        let off = self.closing.off(score.notes).filter(|off| off.second > struck.second);
        let end = off.unwrap_or(struck);
        let bars = score.lines.bars_to(end.beat) - score.lines.bars_to(begins.beat);
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
            rest_before: self.rest_before(score),
            subdivision: self.steps.prevailing(),
            eighth_run: self.steps.longest_eighth_run(),
            open: extent.open,
        })
    }

    /// The rest before it: nothing while the onset before sounds on.
    fn rest_before(&self, score: AnalysisContext<'_>) -> Option<Rest> {
        let before = score.line.get(self.first.checked_sub(1)?)?;
        let ended = before.off(score.notes)?;
        let opens = self.opening.opens(score.notes)?;
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
