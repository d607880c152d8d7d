//! Hears where phrases begin with small logistic models, in three grades of hindsight.
//!
//! Each interval between two onsets gets a probability that a phrase begins at its end, from the
//! rest before it against the rests around and the player's usual ones, the step between the
//! notes, the leap, and how long the phrase has run. The weights are in `weights.txt`, fitted by
//! `cargo xtask score --fit`; the exact definitions of the features are in [`features`].
//!
//! Scores on 212 labelled solos of the Weimar Jazz Database (Pfleiderer and others 2017), pooled
//! F1 by five-fold cross-validation grouped by solo: live .902, settled .911, after .914; the
//! plain rule of [`crate::boundary`] .878.

pub mod features;
pub mod gate;
pub mod intervals;
pub mod rows;
pub mod teach;
pub mod weights;

use crate::note::Note;
use intervals::{Intervals, Onset, RestBy};
use weights::Weights;

/// How much of what follows an onset may be used to judge it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hindsight {
    /// Nothing: decided at the onset.
    Live,
    /// The next two onsets.
    Settled,
    /// The whole take.
    After,
}

impl Hindsight {
    /// All grades.
    pub const ALL: [Self; 3] = [Self::Live, Self::Settled, Self::After];

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Live => "live",
            Self::Settled => "settled",
            Self::After => "after",
        }
    }
}

/// An onset at which a phrase may begin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// Index of its first note.
    pub note: usize,
    /// How likely a phrase begins there, from 0 to 1.
    pub probability: f64,
    /// Whether one is taken to begin there.
    pub begins: bool,
}

/// A rest shorter than this never parts phrases. In seconds. Origin: in the labelled solos 1 of
/// 50 boundaries has less.
const LEAST_REST: f64 = 0.08;

/// From this rest on, a boundary is at least as likely as [`SURE`]. In seconds. Origin: 99.1 %
/// of 231 such rests in the labelled solos part phrases.
const SURELY_A_REST: f64 = 2.0;
/// Odds of 99 to 1, as a logarithm.
const SURE: f64 = 4.595_119_850_134_59;

/// Judges every onset of `notes`, which lie in order of onset. `finer` is a player's own bias in
/// logits: 0 untaught, more than 0 tells phrases apart more finely.
#[must_use]
pub fn openings(notes: &[Note], hindsight: Hindsight, finer: f64) -> Vec<Opening> {
    let onsets = intervals::onsets(notes);
    let played = Intervals::of(&onsets, RestBy::NoteEnds);
    let gated = Intervals::of(&onsets, RestBy::Onsets);
    let modes = gate::modes(&onsets);
    let (normal_set, gate_set) = (Weights::of(hindsight, false), Weights::of(hindsight, true));
    let opening = |(index, onset): (usize, &Onset)| {
        let Some(interval) = index.checked_sub(1) else {
            return Opening { note: onset.note, probability: 1.0, begins: true };
        };
        let (intervals, weights) = if modes.get(index) == Some(&true) {
            (&gated, &gate_set)
        } else {
            (&played, &normal_set)
        };
        judge(onset.note, intervals, interval, weights, finer)
    };
    onsets.iter().enumerate().map(opening).collect()
}

fn judge(
    note: usize,
    intervals: &Intervals,
    interval: usize,
    weights: &Weights,
    finer: f64,
) -> Opening {
    let weighed = weights
        .features()
        .map(|(feature, weight)| weight * features::value(feature, intervals, interval));
    let Some(logit) = bounded(weights.bias() + weighed.sum::<f64>(), intervals.rest(interval))
    else {
        return Opening { note, probability: 0.0, begins: false };
    };
    let probability = 1.0 / (1.0 + (-logit - finer).exp());
    Opening { note, probability, begins: probability >= weights.threshold() }
}

/// What stands of a model's `logit` after a rest of so many seconds: a long one parts phrases
/// nearly always. `None` after a rest so short that it never does.
#[must_use]
pub fn bounded(logit: f64, rest: f64) -> Option<f64> {
    let logit = logit.clamp(-40.0, 40.0);
    match rest {
        _ if rest < LEAST_REST => None,
        _ if rest >= SURELY_A_REST => Some(logit.max(SURE)),
        _ => Some(logit),
    }
}

#[cfg(test)]
mod tests;
