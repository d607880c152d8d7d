//! Exit place: where phrases end.

use super::chorus::Chorus;
use super::definition::Exit;
use super::take_so_far::TakeSoFar;
use crate::microtiming::tied::over_the_bar;
use crate::phrase::Phrase;
use crate::stats::Share;
use serde::Serialize;

/// What was heard of phrase ends.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ExitResult {
    /// Where they were to end.
    pub wanted: Exit,
    /// Phrases that did, of those that are over.
    pub hits: Share,
}

impl ExitResult {
    pub(super) fn of(wanted: Exit, chorus: &Chorus, follows: bool, heard: &TakeSoFar<'_>) -> Self {
        let mut hits = Share::default();
        for (index, phrase) in heard.phrases_of(chorus, follows) {
            if heard.is_over(index, phrase) {
                hits.add(wanted.is_met(phrase, heard));
            }
        }
        Self { wanted, hits }
    }
}

impl Exit {
    fn is_met(self, phrase: &Phrase, heard: &TakeSoFar<'_>) -> bool {
        match self {
            Self::OffTheBeat => phrase.exit.class.is_off_beat(),
            Self::OverTheBarLine => {
                let held = over_the_bar(heard.lines, &phrase.exit, heard.end_of(phrase));
                phrase.crosses_bar_line() || held
            }
        }
    }
}
