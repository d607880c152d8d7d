//! Whether phrases end where the drill asks.

use super::chorus::Chorus;
use super::definition::Exit;
use super::landing::LandingList;
use super::take_so_far::TakeSoFar;
use crate::microtiming::tied::over_the_bar;
use crate::phrase::Phrase;
use crate::stats::Share;
use serde::Serialize;

/// The result of an ending goal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ExitResult {
    /// The goal.
    pub wanted: Exit,
    /// Finished phrases that end there.
    pub hits: Share,
}

impl ExitResult {
    pub(super) fn of(
        wanted: Exit,
        chorus: &Chorus,
        follows: bool,
        so_far: &TakeSoFar<'_>,
        landings: &mut LandingList,
    ) -> Self {
        if wanted == Exit::OffTheBeat {
            landings.ask_off_beats();
        }
        let mut hits = Share::default();
        for (index, phrase) in so_far.phrases_of(chorus, follows) {
            if so_far.is_over(index, phrase) {
                let hit = wanted.is_met(phrase, so_far);
                hits.add(hit);
                landings.push_played(&phrase.exit, hit);
            }
        }
        Self { wanted, hits }
    }
}

impl Exit {
    fn is_met(self, phrase: &Phrase, so_far: &TakeSoFar<'_>) -> bool {
        match self {
            Self::OffTheBeat => phrase.exit.class.is_off_beat(),
            Self::OverTheBarLine => {
                let held = over_the_bar(so_far.lines, &phrase.exit, so_far.end_of(phrase));
                phrase.crosses_bar_line() || held
            }
        }
    }
}
