//! Hears where phrases begin with small logistic models, in three grades of hindsight.
//!
//! Each interval between two onsets gets a probability that a phrase begins at its end, from the
//! rest before it against the rests around and the player's usual ones, the step between the
//! notes, the leap, and how long the phrase has run. The weights are in `weights.txt`, fitted by
//! `cargo xtask score --fit`; the exact definitions of the features are in [`features`].
//!
//! Scores on 212 labelled solos of the Weimar Jazz Database (Pfleiderer and others 2017), pooled
//! F1 by five-fold cross-validation grouped by solo: live .902, settled .911, after .914.

pub mod boundary;
pub mod features;
pub mod gate;
pub mod intervals;
pub mod rows;
pub mod teach;
pub mod weights;
pub mod whole;
mod window;

use crate::input::note::Note;
use crate::melody::MelodyOnsets;
use crate::melody::{MelodyOnset, TimedOnset};
use crate::settings::Melody;
use intervals::{Intervals, RECENT, RestBy, log_length, median};
use std::sync::LazyLock;
use weights::Weights;
use window::Window;

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

/// A judgement of one onset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judgement {
    /// How likely a phrase begins there, from 0 to 1.
    pub probability: f64,
    /// Whether one is taken to begin there.
    pub begins: bool,
}

/// An onset at which a phrase may begin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// The onset.
    pub onset: MelodyOnset,
    /// Whether a phrase begins there.
    pub judgement: Judgement,
}

/// A rest shorter than this never parts phrases. In seconds. Origin: in the labelled solos 1 of
/// 50 boundaries has less.
const LEAST_REST: f64 = 0.08;

/// From this rest on, a boundary is at least as likely as [`SURE`]. In seconds. Origin: 99.2 %
/// of 496 such rests in the labelled solos part phrases.
const SURELY_A_REST: f64 = 1.5;
/// Odds of 99 to 1, as a logarithm.
const SURE: f64 = 4.595_119_850_134_59;

/// How many onsets after one may come before it is settled.
pub const SETTLES_AFTER: usize = 2;

/// How many intervals are kept where a line grows without end: what the live and the settled
/// grade look back over, and as much again for onsets that are taken back.
const KEPT: usize = 256;

/// Hears a line, onset by onset.
#[derive(Debug, Clone)]
pub struct Segmenter {
    /// The player's own bias in logits: 0 untaught, more than 0 tells phrases apart more finely.
    finer: f64,
    played: Intervals,
    gated: Intervals,
    /// Lengths of the last sixteen intervals.
    recent: Window,
    /// Second and key of the first onset.
    first: Option<(f64, f64)>,
}

/// The weights of one grade, for notes whose ends mean something and nothing.
struct Models {
    played: Weights,
    gated: Weights,
}

/// Of every grade.
static MODELS: LazyLock<[Models; 3]> = LazyLock::new(|| {
    Hindsight::ALL.map(|hindsight| Models {
        played: Weights::of(hindsight, false),
        gated: Weights::of(hindsight, true),
    })
});

impl Segmenter {
    /// An ear that has heard nothing. `finer` is the player's own bias in logits: 0 untaught,
    /// more than 0 tells phrases apart more finely.
    #[must_use]
    pub fn new(finer: f64) -> Self {
        let (played, gated) = (Intervals::new(RestBy::NoteEnds), Intervals::new(RestBy::Onsets));
        Self { finer, played, gated, recent: Window::default(), first: None }
    }

    /// How many onsets it has heard.
    #[must_use]
    pub fn heard(&self) -> usize {
        self.first.map_or(0, |_| self.played.count() + 1)
    }

    /// Takes the next onset.
    pub fn push(&mut self, onset: &TimedOnset) {
        let Some(first) = self.first else {
            self.first = Some((onset.at, onset.key));
            return;
        };
        let newest = self.played.count().checked_sub(1).and_then(|i| self.played.get(i));
        let before = newest.map_or(first, |n| (n.ended_at, n.keys.1));
        let median = median(&self.recent);
        let log_gap = log_length(onset.at - before.0);
        self.played.push(before, onset, log_gap, median);
        self.gated.push(before, onset, log_gap, median);
        let leaves = self.played.count().checked_sub(RECENT + 1);
        let leaves = leaves.map(|i| self.played.get(i).map_or(0.0, |interval| interval.gap));
        self.recent.exchange(leaves, Some(onset.at - before.0));
    }

    /// Forgets what is too far back for the live and the settled grade.
    pub fn forget_the_past(&mut self) {
        if self.played.known() >= 2 * KEPT {
            self.played.forget_all_but(KEPT);
            self.gated.forget_all_but(KEPT);
        }
    }

    /// Takes back all but the first `onsets`. `false` where that is so far back that it has to
    /// hear all of them again.
    #[must_use]
    pub fn take_back_to(&mut self, onsets: usize) -> bool {
        if onsets == 0 {
            self.first = None;
        }
        let intervals = onsets.saturating_sub(1);
        if intervals >= self.played.count() {
            return true;
        }
        let taken_back = self.played.take_back_to(intervals) & self.gated.take_back_to(intervals);
        self.recent = self.played.recent();
        taken_back
    }

    /// Judges onset `index`, of those heard.
    #[must_use]
    pub fn judge(&self, index: usize, hindsight: Hindsight) -> Judgement {
        let [live, settled, after] = &*MODELS;
        let models = match hindsight {
            Hindsight::Live => live,
            Hindsight::Settled => settled,
            Hindsight::After => after,
        };
        let Some(interval) = index.checked_sub(1) else {
            return Judgement { probability: 1.0, begins: true };
        };
        if gate::is_fixed(&self.played, interval) {
            judge(&self.gated, interval, &models.gated, self.finer)
        } else {
            judge(&self.played, interval, &models.played, self.finer)
        }
    }
}

/// Judges every onset of the line of `notes`, which lie in order of onset. For `finer` see
/// [`Segmenter::new`].
#[must_use]
pub fn openings(notes: &[Note], hindsight: Hindsight, finer: f64, melody: Melody) -> Vec<Opening> {
    let line = MelodyOnsets::of(notes, melody);
    let mut openings = Vec::with_capacity(line.len());
    whole::hear(&line, notes, finer, |ear, index| {
        let judgement = ear.judge(index, hindsight);
        openings.extend(line.get(index).map(|onset| Opening { onset, judgement }));
    });
    openings
}

/// Whether a phrase begins at the last onset of `notes`, which are all there is of a line.
#[must_use]
pub fn begins_at_the_last(notes: &[Note], finer: f64, melody: Melody) -> bool {
    openings(notes, Hindsight::After, finer, melody)
        .last()
        .is_some_and(|opening| opening.judgement.begins)
}

fn judge(intervals: &Intervals, interval: usize, weights: &Weights, finer: f64) -> Judgement {
    let weighed = weights
        .features()
        .map(|(feature, weight)| weight * features::value(feature, intervals, interval));
    let Some(logit) = bounded(weights.bias() + weighed.sum::<f64>(), intervals.rest(interval))
    else {
        return Judgement { probability: 0.0, begins: false };
    };
    let probability = 1.0 / (1.0 + (-logit - finer).exp());
    Judgement { probability, begins: probability >= weights.threshold() }
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
