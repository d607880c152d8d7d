//! The figures of parts of a take: of a chorus, of a section in all choruses, of a section in one.

use super::Form;
use crate::figures::{Figures, figures};
use crate::phrase::Phrase;
use crate::settings::AlertSettings;
use serde::Serialize;

/// A part of a take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case", tag = "part")]
pub enum Part {
    /// All of it, with what comes before the first chorus.
    Take,
    /// A chorus.
    Chorus {
        /// From 1.
        chorus: i64,
    },
    /// A section, in every chorus.
    Section {
        /// Its index in the form.
        section: usize,
    },
    /// A section of one chorus.
    Cell {
        /// From 1.
        chorus: i64,
        /// Its index in the form.
        section: usize,
    },
}

impl Part {
    /// Whether a phrase that enters in `bar` belongs here.
    #[must_use]
    pub fn holds(self, form: &Form, bar: i64) -> bool {
        let spot = form.position(bar);
        match self {
            Self::Take => true,
            Self::Chorus { chorus } => spot.is_some_and(|s| s.chorus == chorus),
            Self::Section { section } => spot.is_some_and(|s| s.section == section),
            Self::Cell { chorus, section } => {
                spot.is_some_and(|s| s.chorus == chorus && s.section == section)
            }
        }
    }
}

/// A part of a take with its phrases and their figures.
///
/// The rest before a phrase belongs to the part the phrase enters in. Streaks run on from one
/// phrase of a part to its next, so that those of a section over several choruses mean little.
#[derive(Debug, Clone, PartialEq)]
pub struct Slice {
    /// Which part.
    pub part: Part,
    /// Its phrases, in order.
    pub phrases: Vec<Phrase>,
    /// Their figures.
    pub figures: Figures,
}

/// One part.
#[must_use]
pub fn part_of(part: Part, phrases: &[Phrase], form: &Form, settings: &AlertSettings) -> Slice {
    let held = |phrase: &&Phrase| part.holds(form, phrase.entry.bar);
    let phrases: Vec<Phrase> = phrases.iter().filter(held).copied().collect();
    let figures = figures(&phrases, settings);
    Slice { part, phrases, figures }
}

/// The whole take.
#[must_use]
pub fn take(phrases: &[Phrase], settings: &AlertSettings) -> Slice {
    let figures = figures(phrases, settings);
    Slice { part: Part::Take, phrases: phrases.to_vec(), figures }
}

/// Every chorus in which a phrase enters, in order.
#[must_use]
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

/// Every section of the form over all choruses, also those in which no phrase enters.
#[must_use]
pub fn sections(phrases: &[Phrase], form: &Form, settings: &AlertSettings) -> Vec<Slice> {
    (0..form.sections().len())
        .map(|section| part_of(Part::Section { section }, phrases, form, settings))
        .collect()
}
