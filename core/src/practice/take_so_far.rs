//! A take up to the current position.

use super::chorus::Chorus;
use crate::phrase::Phrase;
use crate::quantization::BarLines;
use crate::take::performance::Performance;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan};

/// A take up to the current position.
#[derive(Debug, Clone, Copy)]
pub struct TakeSoFar<'a> {
    pub take: &'a Performance,
    pub phrases: &'a [Phrase],
    pub lines: BarLines<'a>,
    /// The current position.
    pub now: Beat,
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
        phrases.filter(move |(_, p)| self.belongs(p, p.entry.pulse_start(), chorus, follows))
    }

    /// Whether a phrase that was meant to start at `start` belongs to a chorus: the one it starts in. A
    /// pickup of up to half a bar belongs to the first chorus.
    pub(super) fn belongs(
        &self,
        phrase: &Phrase,
        start: Beat,
        chorus: &Chorus,
        follows: bool,
    ) -> bool {
        let start = start + POSITION_TOLERANCE;
        let last = self.take.soloist.notes().get(phrase.closing.note);
        let leads_in = !follows
            && start < chorus.start
            && phrase.entry.beat >= chorus.start - BeatSpan(chorus.bar_length().0 / 2.0)
            && last.is_some_and(|note| note.on.beat + POSITION_TOLERANCE >= chorus.start);
        chorus.contains(start) || leads_in
    }

    /// Where the last note of a phrase ends; the current position while it sounds.
    pub(super) fn end_of(&self, phrase: &Phrase) -> Beat {
        let sounds = phrase.closing.off(self.take.soloist.notes()).is_none();
        let end = phrase.entry.beat + phrase.beats;
        if sounds && phrase.open { end.later(self.now) } else { end }
    }

    /// The rest after a phrase so far, in pulses, and whether it is over.
    pub(super) fn rest_after(&self, index: usize, phrase: &Phrase) -> (f64, bool) {
        let pulse = phrase.exit.pulse_length.0;
        match self.phrases.get(index + 1).and_then(|next| next.rest_before) {
            Some(rest) => (rest.beats.0 / pulse, true),
            None => ((self.now - self.end_of(phrase)).0.max(0.0) / pulse, self.over),
        }
    }

    /// Whether a phrase is over: another has started, or a bar has passed.
    pub(super) fn is_over(&self, index: usize, phrase: &Phrase) -> bool {
        let bar = phrase.exit.bar_length.0 / phrase.exit.pulse_length.0;
        let (rest, over) = self.rest_after(index, phrase);
        !phrase.open || over || rest >= bar
    }
}
