//! Which notes are on a beat by the player's own timing.
//!
//! The quantizer places a note as a reader would write it: a quarter of a beat late is a
//! sixteenth, whoever plays it. The notes it puts on the beat are therefore cut off early and
//! late, which pulls the mean of a player far behind or ahead of the beat towards zero. In
//! eighths and longer values, where nothing else is meant so close to a beat, a note belongs to
//! the beat where the player's lag and spread put it. Finer values stay as quantized.
//!
//! Lag and spread are learnt phrase by phrase, each from the ones before it and from itself. A
//! take that is over is gone through once to learn before it is measured.

use super::onsets::{Onset, is_same, onsets};
use crate::phrase::{AnalysisContext, Phrase};
use crate::time::{Beat, BeatSpan};

/// Neighbours of a note this far apart, in pulses, leave it among eighths or longer values.
/// Origin: between those of eighths, 1, and of sixteenths, 1/2; triplets have 2/3.
const EIGHTHS_APART: f64 = 0.75;

/// A note is on a beat up to this many spreads from the player's lag.
const REACH: f64 = 2.7;

/// It is never further from the lag than this part of a pulse, ahead and behind. Origin: a note
/// on an earlier or later sixteenth is a quarter of a pulse away.
const AHEAD: f64 = 0.2;
const BEHIND: f64 = 0.3;

/// Lag and spread in seconds, and the place of the "and" after the beat in pulses, before
/// anything is heard. Origin: about the means over the solos of the Weimar Jazz Database
/// (Pfleiderer and others 2017).
const LAG: f64 = 0.015;
const SPREAD: f64 = 0.0215;
const AND: f64 = 0.55;

/// How many notes each of these weighs, and how many at most as notes come.
const LAG_WEIGHT: f64 = 4.0;
const SPREAD_WEIGHT: f64 = 10.0;
const AND_WEIGHT: f64 = 4.0;
const MOST_WEIGHT: f64 = 200.0;

/// No spread is taken to be wider, in seconds. Origin: third quartile of the spread within a solo
/// of the same database.
const WIDEST: f64 = 0.0246;

/// From this many notes the timing of a take that is over is learnt before it is measured.
const LEARNT_FROM: usize = 1000;

/// Times that a phrase is gone through: each time fewer notes change sides.
const ROUNDS: usize = 4;

/// A mean that follows the newest values.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Following {
    mean: f64,
    weight: f64,
}

impl Following {
    fn push(&mut self, value: f64) {
        self.weight += 1.0;
        self.mean += (value - self.mean) / self.weight;
        self.weight = self.weight.min(MOST_WEIGHT);
    }
}

/// A player's timing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnTiming {
    /// How late notes on a beat are, in seconds.
    lag: Following,
    /// Variance of that.
    variance: Following,
    /// Pulses from the beat as played to the "and".
    and: Following,
}

impl Default for OwnTiming {
    fn default() -> Self {
        Self {
            lag: Following { mean: LAG, weight: LAG_WEIGHT },
            variance: Following { mean: SPREAD * SPREAD, weight: SPREAD_WEIGHT },
            and: Following { mean: AND, weight: AND_WEIGHT },
        }
    }
}

impl OwnTiming {
    /// As the first phrases of a take that is over tell it.
    #[must_use]
    pub fn of_whole(phrases: &[Phrase], score: AnalysisContext<'_>) -> Self {
        let mut timing = Self::default();
        let mut notes = 0;
        for phrase in phrases {
            if notes >= LEARNT_FROM {
                break;
            }
            let onsets = onsets(phrase, score);
            notes += onsets.len();
            timing.learn(&onsets);
        }
        timing
    }

    /// Learns from the onsets of the next phrase. Gives for each the beat it is on, if any.
    pub fn learn(&mut self, onsets: &[Onset]) -> Vec<Option<Beat>> {
        let before = *self;
        let mut beats = self.beats(onsets);
        for _ in 0..ROUNDS {
            *self = before.and_of(onsets, &beats);
            beats = self.beats(onsets);
        }
        beats
    }

    /// Its state after these onsets.
    fn and_of(mut self, onsets: &[Onset], beats: &[Option<Beat>]) -> Self {
        for (onset, beat) in onsets.iter().zip(beats) {
            if let Some(beat) = beat {
                self.lag.push(onset.late_for(*beat).0);
            }
        }
        for (onset, beat) in onsets.iter().zip(beats) {
            if let Some(beat) = beat {
                let away = onset.late_for(*beat).0 - self.lag.mean;
                self.variance.push(away * away);
            } else if onset.is_on_and() {
                self.and.push(onset.in_pulse() - self.lag.mean / onset.pulse_seconds());
            }
        }
        self
    }

    /// For each onset of a phrase the beat it is on, if any. No two are on one beat.
    fn beats(&self, onsets: &[Onset]) -> Vec<Option<Beat>> {
        let mut beats = Vec::with_capacity(onsets.len());
        let mut nearest: Option<(usize, Beat, f64)> = None;
        for (index, onset) in onsets.iter().enumerate() {
            let among_eighths = onset.divides_in_two() && {
                let before = index.checked_sub(1).and_then(|before| onsets.get(before));
                let around = before.zip(onsets.get(index + 1));
                around.is_none_or(|(before, after)| {
                    let apart = (after.place.beat - before.place.beat).0;
                    apart >= EIGHTHS_APART * onset.place.pulse_length.0
                })
            };
            let found = if among_eighths {
                self.beat_of(onset)
            } else {
                onset.is_on_beat().then(|| (onset.pulse_start(), 0.0))
            };
            beats.push(None);
            let Some((beat, away)) = found else { continue };
            let rival = nearest.filter(|(_, other, _)| is_same(*other, beat));
            if rival.is_some_and(|(_, _, nearer)| nearer <= away) {
                continue;
            }
            if let Some(rival) = rival.and_then(|(rival, ..)| beats.get_mut(rival)) {
                *rival = None;
            }
            nearest = Some((index, beat, away));
            if let Some(own) = beats.last_mut() {
                *own = Some(beat);
            }
        }
        beats
    }

    /// The beat that an onset among eighths is on, and how many seconds it is off the lag.
    fn beat_of(&self, onset: &Onset) -> Option<(Beat, f64)> {
        let pulse = onset.pulse_seconds();
        let pulses_on = (onset.in_pulse() - self.lag.mean / pulse).round();
        let beat = onset.pulse_start() + BeatSpan(pulses_on * onset.place.pulse_length.0);
        let away = onset.late_for(beat).0 - self.lag.mean;
        let and = self.and.mean;
        // Half-way to the "and" before it or after it.
        let (most, half_way) =
            if away < 0.0 { (AHEAD, (1.0 - and) / 2.0) } else { (BEHIND, and / 2.0) };
        let reach = if onset.is_on_beat() && pulses_on == 0.0 {
            half_way * pulse
        } else {
            let spread = self.variance.mean.sqrt().min(WIDEST);
            (REACH * spread).min(most.min(half_way) * pulse)
        };
        (away.abs() <= reach).then_some((beat, away.abs()))
    }
}
