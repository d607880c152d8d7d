//! Breathing room: a rest after each phrase, or a share of each chorus at rest.

use super::chorus::Chorus;
use super::definition::Breath;
use super::landing::LandingList;
use super::take_so_far::TakeSoFar;
use crate::stats::Share;
use serde::Serialize;

/// The result of a breathing-room goal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BreathResult {
    /// The goal.
    pub wanted: Breath,
    /// Phrases with enough rest, of those whose rest is known; or choruses, of those played.
    pub met: Share,
    /// The shortest complete rest, in pulses.
    pub shortest: Option<f64>,
    /// Quarter notes at rest, and in all.
    pub at_rest: (f64, f64),
}

/// A rest may be this much shorter, in pulses. Origin: common practice, no source.
const CUT_SHORT: f64 = 0.15;

impl BreathResult {
    pub(super) fn of(
        wanted: Breath,
        chorus: &Chorus,
        follows: bool,
        so_far: &TakeSoFar<'_>,
        landings: &mut LandingList,
    ) -> Self {
        let mut result =
            Self { wanted, met: Share::default(), shortest: None, at_rest: (0.0, 0.0) };
        for (index, phrase) in so_far.phrases_of(chorus, follows) {
            let (rest, over) = so_far.rest_after(index, phrase);
            if over && index + 1 < so_far.phrases.len() {
                result.shortest = Some(result.shortest.map_or(rest, |least| least.min(rest)));
            }
            if let Breath::Beats(beats) = wanted {
                let enough = rest >= beats - CUT_SHORT;
                // The last rest of a take may be cut off.
                if enough || (over && index + 1 < so_far.phrases.len()) {
                    result.met.add(enough);
                    landings.push_played(&phrase.exit, enough);
                }
            }
        }
        let end = chorus.end.earlier(so_far.now);
        let length = (end - chorus.start).0.max(0.0);
        let sounding: f64 = so_far
            .phrases
            .iter()
            .map(|phrase| {
                let from = phrase.entry.beat.later(chorus.start);
                (so_far.end_of(phrase).earlier(end) - from).0.max(0.0)
            })
            .sum();
        result.at_rest = ((length - sounding).max(0.0), length);
        if let Breath::Share(share) = wanted {
            result.met.add(result.rest_share().is_some_and(|rest| rest >= share));
        }
        result
    }

    /// The share of time at rest, from 0 to 1; `None` before anything was played.
    pub fn rest_share(&self) -> Option<f64> {
        (self.at_rest.1 > 0.0).then(|| self.at_rest.0 / self.at_rest.1)
    }

    pub(super) fn absorb(&mut self, next: &Self) {
        self.met.absorb(&next.met);
        self.at_rest = (self.at_rest.0 + next.at_rest.0, self.at_rest.1 + next.at_rest.1);
        self.shortest = match (self.shortest, next.shortest) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
    }
}
