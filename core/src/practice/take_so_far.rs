//! A take as far as it has been played, as goals look at it.

use super::chorus::Chorus;
use crate::phrase::Phrase;
use crate::quantization::{BarLines, MetricalPosition};
use crate::take::performance::Performance;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan};

/// A take as far as it has been played.
#[derive(Debug, Clone, Copy)]
pub struct TakeSoFar<'a> {
    /// Its notes, tempo and metres.
    pub take: &'a Performance,
    /// Its phrases.
    pub phrases: &'a [Phrase],
    /// Its bar lines.
    pub lines: BarLines<'a>,
    /// How far it has got.
    pub now: Beat,
    /// Nothing more will come.
    pub over: bool,
}

impl TakeSoFar<'_> {
    /// Whether `beat` has been reached.
    pub(super) fn is_past(&self, beat: Beat) -> bool {
        self.now + POSITION_TOLERANCE >= beat
    }

    /// The phrases of a chorus; see [`TakeSoFar::belongs`].
    pub(super) fn phrases_of<'b>(
        &'b self,
        chorus: &'b Chorus,
        follows: bool,
    ) -> impl Iterator<Item = (usize, &'b Phrase)> {
        let phrases = self.phrases.iter().enumerate();
        phrases.filter(move |(_, p)| self.belongs(p, home(&p.entry), chorus, follows))
    }

    /// Whether a phrase that was meant to begin at `home` is one of a chorus. It belongs to the
    /// chorus it begins in; one that leads into a chorus before which there was none, from the
    /// second half of the bar before, to that one.
    pub(super) fn belongs(
        &self,
        phrase: &Phrase,
        home: Beat,
        chorus: &Chorus,
        follows: bool,
    ) -> bool {
        let home = home + POSITION_TOLERANCE;
        let last = self.take.heard.notes().get(phrase.closing.note);
        let leads_in = !follows
            && home < chorus.start
            && phrase.entry.beat >= chorus.start - BeatSpan(chorus.bar_length().0 / 2.0)
            && last.is_some_and(|note| note.on.beat + POSITION_TOLERANCE >= chorus.start);
        chorus.contains(home) || leads_in
    }

    /// Where a phrase ends: its last note's end, or how far it has got while that sounds.
    pub(super) fn end_of(&self, phrase: &Phrase) -> Beat {
        let sounds = phrase.closing.off(self.take.heard.notes()).is_none();
        let end = phrase.entry.beat + phrase.beats;
        if sounds && phrase.open { end.later(self.now) } else { end }
    }

    /// The rest behind a phrase, in pulses, and whether it is over; it grows while nothing comes.
    pub(super) fn rest_behind(&self, index: usize, phrase: &Phrase) -> (f64, bool) {
        let pulse = phrase.exit.pulse_length.0;
        match self.phrases.get(index + 1).and_then(|next| next.rest_before) {
            Some(rest) => (rest.beats.0 / pulse, true),
            None => ((self.now - self.end_of(phrase)).0.max(0.0) / pulse, self.over),
        }
    }

    /// Whether a phrase is over: another has begun, or a bar has gone by.
    pub(super) fn is_over(&self, index: usize, phrase: &Phrase) -> bool {
        let bar = phrase.exit.bar_length.0 / phrase.exit.pulse_length.0;
        let (rest, over) = self.rest_behind(index, phrase);
        !phrase.open || over || rest >= bar
    }
}

/// The pulse a place belongs to.
pub(super) fn home(place: &MetricalPosition) -> Beat {
    place.bar_start + BeatSpan((f64::from(place.pulse) - 1.0) * place.pulse_length.0)
}
