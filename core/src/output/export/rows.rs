//! A phrase as a row: the same fields in CSV and in JSON.

use super::beats_from::BeatsFrom;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::output::words;
use crate::phrase::Phrase;
use crate::take::grid_summary::GridSummary;
use crate::theory::form::Form;
use serde::Serialize;

/// A phrase. Numbers are rounded to three decimals, finer than anyone plays.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhraseRow {
    /// Its number, from 1.
    pub phrase: usize,
    /// The chorus it starts in, from 1; `None` before the first and without a form.
    pub chorus: Option<i64>,
    /// The section it starts in; empty if there is none.
    pub section: String,
    /// The bar of its start.
    pub entry_bar: i64,
    /// The felt beat of its start as played, from 1 with decimals.
    pub entry_beat: f64,
    /// The class of its start.
    pub entry_class: &'static str,
    /// The position of its start in words: "& of 4".
    pub entry_place: String,
    /// Whether it starts off the beat.
    pub off_beat: bool,
    /// Bar of its last attack.
    pub exit_bar: i64,
    /// Felt beat of its last attack.
    pub exit_beat: f64,
    /// The class of its ending.
    pub exit_class: &'static str,
    /// Its number of notes.
    pub notes: usize,
    /// Its length from the first attack to the last end, in quarter notes.
    pub quarters: f64,
    /// Its length in bars.
    pub bars: f64,
    /// Its length in seconds.
    pub seconds: f64,
    /// The rest before it in quarter notes; `None` for the first.
    pub rest_before_quarters: Option<f64>,
    /// The rest before it in seconds.
    pub rest_before_seconds: Option<f64>,
    /// Whether its bars and positions are approximate.
    pub about: bool,
    /// The source of its beats, for tables.
    #[serde(skip)]
    pub beats_from: BeatsFrom,
}

impl PhraseRow {
    /// The rows of a take.
    #[must_use]
    pub fn all(analysis: &TakeAnalysis, form: Option<&Form>) -> Vec<Self> {
        let take = analysis.take();
        let (approximate, grid) = (take.approximate(), GridSummary::of(take));
        let row = |(number, phrase): (usize, &Phrase)| {
            let at = phrase.entry.beat;
            let beats_from = BeatsFrom::at(at, take, grid.as_ref());
            Self::of(number, phrase, form, approximate.at(at), beats_from)
        };
        (1..).zip(analysis.phrases()).map(row).collect()
    }

    fn of(
        number: usize,
        phrase: &Phrase,
        form: Option<&Form>,
        about: bool,
        beats_from: BeatsFrom,
    ) -> Self {
        let position = form.and_then(|form| form.position(phrase.entry.bar));
        let section =
            form.zip(position).map(|(form, position)| form.section_label(position.section));
        Self {
            phrase: number,
            chorus: position.map(|position| position.chorus),
            section: section.unwrap_or_default(),
            entry_bar: phrase.entry.bar,
            entry_beat: rounded(phrase.entry.beat_in_bar()),
            entry_class: phrase.entry.class.name(),
            entry_place: words::place(&phrase.entry),
            off_beat: phrase.enters_off_beat(),
            exit_bar: phrase.exit.bar,
            exit_beat: rounded(phrase.exit.beat_in_bar()),
            exit_class: phrase.exit.class.name(),
            notes: phrase.notes,
            quarters: rounded(phrase.beats.0),
            bars: rounded(phrase.bars),
            seconds: rounded(phrase.seconds.0),
            rest_before_quarters: phrase.rest_before.map(|rest| rounded(rest.beats.0)),
            rest_before_seconds: phrase.rest_before.map(|rest| rounded(rest.seconds.0)),
            about,
            beats_from,
        }
    }
}

fn rounded(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}
