//! A phrase and what can be read from its notes.

use crate::boundary::{Boundary, last_onset, rest_before};
use crate::note::Note;
use crate::place::{BarLines, Place};
use crate::place_model::Role;
use crate::subdivision::{StepCount, Subdivision, step};
use crate::tempo_map::TempoMap;
use crate::time::{Beat, BeatSpan, Second, SecondSpan};

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
    /// Index of its first note.
    pub first_note: usize,
    /// Index of its last note.
    pub last_note: usize,
    /// Place of its first note.
    pub entry: Place,
    /// Place of its last note's attack.
    pub exit: Place,
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
    /// How many notes it has.
    #[must_use]
    pub fn notes(&self) -> usize {
        self.last_note - self.first_note + 1
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

/// Reads a phrase as it grows: each note is looked at once.
#[derive(Debug, Clone)]
pub struct PhraseReader {
    boundary: Boundary,
    /// Notes read so far: the first and those after it, up to before this one.
    next: usize,
    entry: Place,
    exit: Place,
    exit_as_step: Place,
    onset: Second,
    steps: StepCount,
}

/// What a phrase is read against.
#[derive(Debug, Clone, Copy)]
pub struct Score<'a> {
    /// All notes of the take.
    pub notes: &'a [Note],
    /// Its bar lines.
    pub lines: BarLines<'a>,
    /// Its tempo.
    pub tempo: &'a TempoMap,
}

impl Score<'_> {
    fn place(&self, note: &Note, role: Role) -> Option<Place> {
        Some(self.lines.place(note.on.beat, self.tempo.tempo_at(note.on.beat)?, role))
    }
}

impl PhraseReader {
    /// Begins at `boundary`. `None` where there is no such note or no beat grid.
    #[must_use]
    pub fn new(boundary: Boundary, score: Score<'_>) -> Option<Self> {
        let note = score.notes.get(boundary.note)?;
        let entry = score.place(note, Role::PhraseStart)?;
        Some(Self {
            boundary,
            next: boundary.note + 1,
            entry,
            exit: entry,
            exit_as_step: score.place(note, Role::Inside)?,
            onset: note.on.second,
            steps: StepCount::default(),
        })
    }

    /// Where the phrase begins.
    #[must_use]
    pub fn boundary(&self) -> Boundary {
        self.boundary
    }

    /// How far it has read: the index after the last note taken in.
    #[must_use]
    pub fn next(&self) -> usize {
        self.next
    }

    /// Reads on up to note `last`, and gives the phrase as it is then. `None` where there is no
    /// such note or no beat grid.
    pub fn read_to(&mut self, last: usize, score: Score<'_>, open: bool) -> Option<Phrase> {
        for note in score.notes.get(self.next..=last).unwrap_or_default() {
            self.next += 1;
            // Struck together: one onset.
            if note.on.second > self.onset {
                self.onset = note.on.second;
                let place = score.place(note, Role::Inside)?;
                self.steps.push(step(&self.exit_as_step, &place));
                (self.exit, self.exit_as_step) = (place, place);
            }
        }
        let first = self.boundary.note;
        let span = score.notes.get(first..=last)?;
        let (first_note, last_note) = (span.first()?, span.last()?);
        let end = last_onset(span)
            .filter_map(|n| n.off)
            .fold(last_note.on, |end, off| if off.second > end.second { off } else { end });
        let bars = score.lines.bars_to(end.beat) - score.lines.bars_to(first_note.on.beat);
        Some(Phrase {
            boundary: self.boundary,
            first_note: first,
            last_note: last,
            entry: self.entry,
            exit: self.exit,
            beats: end.beat - first_note.on.beat,
            bars,
            seconds: end.second - first_note.on.second,
            rest_before: rest(score.notes, first, first_note),
            subdivision: self.steps.prevailing(),
            eighth_run: self.steps.longest_eighth_run(),
            open,
        })
    }
}

fn rest(notes: &[Note], first: usize, first_note: &Note) -> Option<Rest> {
    let before = notes.get(..first).filter(|before| !before.is_empty())?;
    let seconds = rest_before(before, first_note);
    let ended = last_onset(before).filter_map(|n| n.off).map(|off| off.beat).reduce(Beat::later)?;
    Some(Rest { seconds, beats: BeatSpan((first_note.on.beat - ended).0.max(0.0)) })
}
