//! The segmenter: judges each onset by small logistic models.

use super::hindsight::Hindsight;
use super::intervals::{Intervals, RECENT, RestBy, log_length, median};
use super::weights::Weights;
use super::window::Window;
use super::{features, gate};
use crate::melody::{MelodyOnset, TimedOnset};
use std::sync::LazyLock;

/// Whether a phrase starts at an onset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judgement {
    /// Probability that a phrase starts there, from 0 to 1.
    pub probability: f64,
    /// Whether the probability reaches the threshold.
    pub begins: bool,
}

/// An onset with its judgement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JudgedOnset {
    /// The onset.
    pub onset: MelodyOnset,
    /// Whether a phrase starts there.
    pub judgement: Judgement,
}

/// The shortest rest between phrases, in seconds. Origin: in the labelled solos 1 of 50 boundaries
/// has less.
const MIN_REST: f64 = 0.08;

/// From this rest on, in seconds, the log odds of a boundary are [`SURE`] or more. Origin: 99.2 % of
/// 496 such rests in the labelled solos separate phrases.
const SURELY_A_REST: f64 = 1.5;
/// Log odds of 99 to 1.
const SURE: f64 = 4.595_119_850_134_59;

/// Onsets that must follow one before it is settled.
pub const SETTLES_AFTER: usize = 2;

/// Intervals kept of a growing line: enough for the live and the settled grade to look back, and as many
/// again for onsets that may be removed.
const KEPT: usize = 256;

/// Finds phrase starts onset by onset.
#[derive(Debug, Clone)]
pub struct Segmenter {
    /// The player's own bias in logits.
    finer: f64,
    pub(super) played: Intervals,
    pub(super) gated: Intervals,
    /// Lengths of the last sixteen intervals.
    recent: Window,
    /// Second and key of the first onset.
    first: Option<(f64, f64)>,
}

/// The weights of one grade, for notes with meaningful ends and without.
struct Models {
    played: Weights,
    gated: Weights,
}

/// The models of every grade.
static MODELS: LazyLock<[Models; 3]> = LazyLock::new(|| {
    Hindsight::ALL.map(|hindsight| Models {
        played: Weights::of(hindsight, false),
        gated: Weights::of(hindsight, true),
    })
});

impl Segmenter {
    /// A segmenter without an onset. `finer` is the player's own bias in logits: 0 untaught, more
    /// than 0 splits phrases more finely.
    pub fn new(finer: f64) -> Self {
        let (played, gated) = (Intervals::new(RestBy::NoteEnds), Intervals::new(RestBy::Onsets));
        Self { finer, played, gated, recent: Window::default(), first: None }
    }

    /// Adds the next onset.
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

    /// Drops intervals too old for the live and the settled grade.
    pub fn drop_old(&mut self) {
        if self.played.kept() >= 2 * KEPT {
            self.played.keep_last(KEPT);
            self.gated.keep_last(KEPT);
        }
    }

    /// Removes all but the first `onsets`. Returns `false` if that goes back past what is kept: then all onsets
    /// must be pushed again.
    #[must_use]
    pub fn truncate(&mut self, onsets: usize) -> bool {
        if onsets == 0 {
            self.first = None;
        }
        let intervals = onsets.saturating_sub(1);
        if intervals >= self.played.count() {
            return true;
        }
        let enough = self.played.truncate(intervals) & self.gated.truncate(intervals);
        self.recent = self.played.recent();
        enough
    }

    /// Judges onset `index` of those pushed.
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

fn judge(intervals: &Intervals, interval: usize, weights: &Weights, finer: f64) -> Judgement {
    let weighted = weights
        .features()
        .map(|(feature, weight)| weight * features::value(feature, intervals, interval));
    let Some(logit) = bounded(weights.bias() + weighted.sum::<f64>(), intervals.rest(interval))
    else {
        return Judgement { probability: 0.0, begins: false };
    };
    let probability = 1.0 / (1.0 + (-logit - finer).exp());
    Judgement { probability, begins: probability >= weights.threshold() }
}

/// A model's `logit`, bounded by the rest in seconds: a long rest nearly always separates phrases. `None`
/// after a rest too short to do so.
pub fn bounded(logit: f64, rest: f64) -> Option<f64> {
    let logit = logit.clamp(-40.0, 40.0);
    match rest {
        _ if rest < MIN_REST => None,
        _ if rest >= SURELY_A_REST => Some(logit.max(SURE)),
        _ => Some(logit),
    }
}
