//! A take in notation, shown phrase by phrase.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::engraving::{Line, Page, Score, lines};
use overbar_core::output::notation::{BarMarks, WritingOptions, WrittenTake, marks, written};
use overbar_core::phrase::Phrase;
use overbar_core::theory::changes::Changes;
use overbar_core::theory::form::Form;
use overbar_core::theory::instrument::InstrumentPitch;
use std::ops::Range;

/// The notated take.
#[derive(Debug, Clone, PartialEq)]
pub struct Staff {
    written: WrittenTake,
    marks: Vec<BarMarks>,
    /// The first note struck at each onset, by index in the take.
    notes: Vec<usize>,
}

impl Staff {
    /// Notates a take for an instrument, with the form and the chords of its tune.
    pub fn of(
        analysis: &TakeAnalysis,
        (form, chords): (Option<&Form>, Option<&Changes>),
        instrument: InstrumentPitch,
    ) -> Self {
        let options = WritingOptions::written_for(instrument);
        let context = analysis.context();
        let written = written(analysis, chords, options);
        let marks = marks(&written, context, form, chords);
        let notes = context.line.iter().map(|onset| onset.first).collect();
        Self { written, marks, notes }
    }

    /// The lines of a phrase, no wider than `width` staff spaces. None if it is not notated yet or has no
    /// bars.
    pub fn lines_of(&self, phrase: &Phrase, width: f64) -> impl Iterator<Item = Line> + '_ {
        let score = Score { take: &self.written, marks: &self.marks, labels: &[] };
        let page = Page { width: Some(width), bars: usize::MAX };
        lines(score, page, self.bars_of(phrase).unwrap_or_default())
    }

    /// The notes struck at an onset, by index in the take.
    pub fn notes_at(&self, onset: usize) -> Range<usize> {
        let at = |onset: usize| self.notes.get(onset).copied();
        at(onset).map_or(0..0, |first| first..at(onset + 1).unwrap_or(usize::MAX))
    }

    /// The bars that a phrase touches, by index among the notated ones.
    fn bars_of(&self, phrase: &Phrase) -> Option<Range<usize>> {
        self.notes.binary_search(&phrase.opening.first).ok()?;
        let place = |number: i64| self.written.bars.partition_point(|bar| bar.number < number);
        let (from, mut to) = (place(phrase.entry.bar), place(phrase.exit.bar) + 1);
        // A last note that is held across the bar line.
        let is_tied = |bar: usize| {
            let first = self.written.bars.get(bar).and_then(|bar| bar.signs.first());
            first.and_then(|sign| sign.note).is_some_and(|note| note.tied_from)
        };
        while is_tied(to) {
            to += 1;
        }
        (from < self.written.bars.len()).then_some(from..to.min(self.written.bars.len()))
    }
}
