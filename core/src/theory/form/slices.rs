//! The figures of parts of a take, by chorus and by section.

use super::Form;
use crate::phrase::Phrase;
use crate::phrase::figures::{Figures, figures};
use crate::take::settings::AlertSettings;
use serde::Serialize;

/// A part of a take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case", tag = "part")]
pub enum Part {
    /// A chorus.
    Chorus {
        /// From 1.
        chorus: i64,
    },
    /// A section in all choruses.
    Section {
        /// Its index in the form.
        section: usize,
    },
}

impl Part {
    /// Whether a phrase that starts in `bar` belongs to it.
    fn holds(self, form: &Form, bar: i64) -> bool {
        form.position(bar).is_some_and(|position| match self {
            Self::Chorus { chorus } => position.chorus == chorus,
            Self::Section { section } => position.section == section,
        })
    }
}

/// A part of a take with its phrases and their figures. The rest before a phrase belongs to that phrase's part.
/// Streaks of a section span choruses and mean little.
#[derive(Debug, Clone, PartialEq)]
pub struct Slice {
    /// Which part.
    pub part: Part,
    /// Its phrases, in order.
    pub phrases: Vec<Phrase>,
    /// Their figures.
    pub figures: Figures,
}

fn part_of(part: Part, phrases: &[Phrase], form: &Form, settings: &AlertSettings) -> Slice {
    let held = |phrase: &&Phrase| part.holds(form, phrase.entry.bar);
    let phrases: Vec<Phrase> = phrases.iter().filter(held).copied().collect();
    let figures = figures(&phrases, settings);
    Slice { part, phrases, figures }
}

/// Every chorus in which a phrase starts, in order.
pub fn choruses(phrases: &[Phrase], form: &Form, settings: &AlertSettings) -> Vec<Slice> {
    let mut numbers: Vec<i64> =
        phrases.iter().filter_map(|p| Some(form.position(p.entry.bar)?.chorus)).collect();
    numbers.sort_unstable();
    numbers.dedup();
    numbers
        .into_iter()
        .map(|chorus| part_of(Part::Chorus { chorus }, phrases, form, settings))
        .collect()
}

/// Every section of the form over all choruses, including those without phrases.
pub fn sections(phrases: &[Phrase], form: &Form, settings: &AlertSettings) -> Vec<Slice> {
    (0..form.sections().len())
        .map(|section| part_of(Part::Section { section }, phrases, form, settings))
        .collect()
}
