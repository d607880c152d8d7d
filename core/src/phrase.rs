//! A phrase and what can be read from its notes.

use crate::boundary::{Boundary, last_onset, rest_before};
use crate::note::Note;
use crate::place::{BarLines, Place};
use crate::reading::Reading;
use crate::reading::Spot;
use crate::subdivision::{StepCount, Subdivision, step};
use crate::tempo_map::TempoMap;
use crate::time::{Beat, BeatSpan, Moment, Second, SecondSpan};

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
    /// How long after it was played a note comes in.
    pub latency: SecondSpan,
    /// The first note of each onset.
    pub onsets: &'a [usize],
    /// The readings of the onsets.
    pub readings: &'a [Reading],
}

impl Score<'_> {
    /// Where a note fell on the felt pulse; `None` without a beat grid.
    #[must_use]
    pub fn spot(&self, note: &Note) -> Option<Spot> {
        let beat = played(self.tempo, note.on, self.latency)?;
        Some(self.lines.spot(beat, self.tempo.tempo_at(beat)?))
    }

    /// The place of a note; `None` where there is no such note or no beat grid.
    #[must_use]
    pub fn place(&self, note: usize) -> Option<Place> {
        let onset = self.onsets.partition_point(|first| *first <= note).checked_sub(1)?;
        let reading = self.readings.get(onset)?;
        Some(self.lines.place_of(&self.spot(self.notes.get(note)?)?, reading))
    }
}

/// Where in the song a note was played that came in at `moment`, with the delay of the player's
/// rig taken off.
#[must_use]
pub fn played(tempo: &TempoMap, moment: Moment, latency: SecondSpan) -> Option<Beat> {
    let late = tempo.beat_at(moment.second)? - tempo.beat_at(moment.second - latency)?;
    Some(moment.beat - late)
}

impl PhraseReader {
    /// Begins at `boundary`. `None` where there is no such note or no beat grid.
    #[must_use]
    pub fn new(boundary: Boundary, score: Score<'_>) -> Option<Self> {
        let note = score.notes.get(boundary.note)?;
        let entry = score.place(boundary.note)?;
        Some(Self {
            boundary,
            next: boundary.note + 1,
            entry,
            exit: entry,
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
    /// such note or no beat grid. Only what is settled is kept; the rest is read anew each time.
    pub fn read_to(&mut self, last: usize, score: Score<'_>, open: bool) -> Option<Phrase> {
        while self.next <= last && self.entry.settled {
            let mut on = self.clone();
            on.take(score)?;
            if !on.exit.settled {
                break;
            }
            *self = on;
        }
        let mut all =
            if self.entry.settled { self.clone() } else { Self::new(self.boundary, score)? };
        while all.next <= last {
            all.take(score)?;
        }
        if all.entry.settled && !self.entry.settled {
            *self = Self::new(self.boundary, score)?;
        }
        all.phrase(last, score, open)
    }

    /// Takes in the next note.
    fn take(&mut self, score: Score<'_>) -> Option<()> {
        let note = score.notes.get(self.next)?;
        // Struck together: one onset.
        if note.on.second > self.onset {
            self.onset = note.on.second;
            let place = score.place(self.next)?;
            self.steps.push(step(&self.exit, &place));
            self.exit = place;
        }
        self.next += 1;
        Some(())
    }

    fn phrase(&self, last: usize, score: Score<'_>, open: bool) -> Option<Phrase> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tempo_map::Knot;
    use crate::time::Tempo;

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
