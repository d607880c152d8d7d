//! A phrase and what can be read from its notes.

use crate::boundary::rest_before;
use crate::note::Note;
use crate::place::{BarLines, Place};
use crate::place_model::Role;
use crate::subdivision::{StepCount, Subdivision, step};
use crate::tempo_map::TempoMap;
use crate::time::{Beat, BeatSpan, SecondSpan};

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

/// Reads the phrase that runs from note `first` to note `last`. `None` where there is no such
/// stretch or no beat grid.
#[must_use]
pub fn read(
    notes: &[Note],
    (first, last): (usize, usize),
    lines: BarLines<'_>,
    tempo: &TempoMap,
    open: bool,
) -> Option<Phrase> {
    let span = notes.get(first..=last)?;
    let (first_note, last_note) = (span.first()?, span.last()?);
    let place = |note: &Note, role| -> Option<Place> {
        Some(lines.place(note.on.beat, tempo.tempo_at(note.on.beat)?, role))
    };
    let entry = place(first_note, Role::PhraseStart)?;
    let mut exit = entry;
    let mut steps = StepCount::default();
    let mut before = place(first_note, Role::Inside)?;
    let mut onset = first_note.on.second;
    for note in span.iter().filter(|n| n.on.second > first_note.on.second) {
        if note.on.second == onset {
            continue;
        }
        onset = note.on.second;
        exit = place(note, Role::Inside)?;
        steps.push(step(&before, &exit));
        before = exit;
    }
    let end = span
        .iter()
        .rev()
        .take_while(|n| n.on.second == last_note.on.second)
        .filter_map(|n| n.off)
        .fold(last_note.on, |end, off| if off.second > end.second { off } else { end });
    let rest_before = rest(notes, first, first_note);
    Some(Phrase {
        first_note: first,
        last_note: last,
        entry,
        exit,
        beats: end.beat - first_note.on.beat,
        bars: lines.bars_to(end.beat) - lines.bars_to(first_note.on.beat),
        seconds: end.second - first_note.on.second,
        rest_before,
        subdivision: steps.prevailing(),
        eighth_run: steps.longest_eighth_run(),
        open,
    })
}

fn rest(notes: &[Note], first: usize, first_note: &Note) -> Option<Rest> {
    let before = notes.get(..first).filter(|before| !before.is_empty())?;
    let seconds = rest_before(before, first_note);
    let ended = before
        .iter()
        .rev()
        .take_while(|n| Some(n.on.second) == before.last().map(|l| l.on.second))
        .filter_map(|n| n.off)
        .fold(None, |latest: Option<Beat>, off| {
            Some(latest.map_or(off.beat, |l| l.later(off.beat)))
        })?;
    Some(Rest { seconds, beats: BeatSpan((first_note.on.beat - ended).0.max(0.0)) })
}
