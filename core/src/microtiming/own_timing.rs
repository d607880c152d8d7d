//! Which notes are on a beat, by the player's own timing.
//!
//! The quantizer's positions are not used for lag: it turns a note a quarter of a beat late into a
//! sixteenth, which would pull the mean lag of a laid-back player towards zero. Among eighths and longer
//! values, a note belongs to the beat according to the player's lag and spread. Shorter values stay as
//! quantized.
//!
//! Lag and spread are learnt phrase by phrase. For a finished take they are learnt from its start before
//! it is measured.

use super::onsets::{Onset, is_same, onsets};
use crate::phrase::{AnalysisContext, Phrase};
use crate::time::{Beat, BeatSpan};

/// A note whose neighbours are this far apart, in pulses, is among eighths or longer values. Origin:
/// those of eighths are 1 apart, of triplets 2/3, of sixteenths 1/2.
const EIGHTHS_APART: f64 = 0.75;

/// A note is on a beat up to this many spreads from the player's lag.
const REACH: f64 = 2.7;

/// Largest deviation from the lag, ahead and behind, in pulses. Origin: a sixteenth is a quarter of a
/// pulse away.
const AHEAD: f64 = 0.2;
const BEHIND: f64 = 0.3;

/// Prior lag and spread in seconds, and position of the "and" in pulses. Origin: about the means over
/// the solos of the Weimar Jazz Database (Pfleiderer and others 2017).
const LAG: f64 = 0.015;
const SPREAD: f64 = 0.0215;
const AND: f64 = 0.55;

/// The weights of these in notes, and the largest weight.
const LAG_WEIGHT: f64 = 4.0;
const SPREAD_WEIGHT: f64 = 10.0;
const AND_WEIGHT: f64 = 4.0;
const MAX_WEIGHT: f64 = 200.0;

/// Largest spread, in seconds. Origin: third quartile of the spread within a solo of the same database.
const WIDEST: f64 = 0.0246;

/// Notes of a finished take from which timing is learnt before it is measured.
const LEARNT_FROM: usize = 1000;

/// Iterations over a phrase: fewer notes change sides each time.
const ROUNDS: usize = 4;

/// A running mean with bounded weight.
#[derive(Debug, Clone, Copy, PartialEq)]
struct RunningMean {
    mean: f64,
    weight: f64,
}

impl RunningMean {
    fn push(&mut self, value: f64) {
        self.weight += 1.0;
        self.mean += (value - self.mean) / self.weight;
        self.weight = self.weight.min(MAX_WEIGHT);
    }
}

/// A player's timing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnTiming {
    /// How late notes on a beat are, in seconds.
    lag: RunningMean,
    variance: RunningMean,
    /// Pulses from the beat as played to the "and".
    and: RunningMean,
}

impl Default for OwnTiming {
    fn default() -> Self {
        Self {
            lag: RunningMean { mean: LAG, weight: LAG_WEIGHT },
            variance: RunningMean { mean: SPREAD * SPREAD, weight: SPREAD_WEIGHT },
            and: RunningMean { mean: AND, weight: AND_WEIGHT },
        }
    }
}

impl OwnTiming {
    /// The timing learnt from the first phrases of a finished take.
    pub fn of_whole(phrases: &[Phrase], context: AnalysisContext<'_>) -> Self {
        let mut timing = Self::default();
        let mut notes = 0;
        for phrase in phrases {
            if notes >= LEARNT_FROM {
                break;
            }
            let onsets = onsets(phrase, context);
            notes += onsets.len();
            timing.learn(&onsets);
        }
        timing
    }

    /// Learns from the onsets of the next phrase. Returns the beat of each onset that is on one.
    pub fn learn(&mut self, onsets: &[Onset]) -> Vec<Option<Beat>> {
        let before = *self;
        let mut beats = self.beats(onsets);
        for _ in 0..ROUNDS {
            *self = before.updated(onsets, &beats);
            beats = self.beats(onsets);
        }
        beats
    }

    /// The timing after these onsets.
    fn updated(mut self, onsets: &[Onset], beats: &[Option<Beat>]) -> Self {
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

    /// The beat of each onset that is on one; no two are on the same beat.
    fn beats(&self, onsets: &[Onset]) -> Vec<Option<Beat>> {
        let mut beats = Vec::with_capacity(onsets.len());
        let mut nearest: Option<(usize, Beat, f64)> = None;
        for (index, onset) in onsets.iter().enumerate() {
            let among_eighths = onset.divides_in_two() && {
                let before = index.checked_sub(1).and_then(|before| onsets.get(before));
                let around = before.zip(onsets.get(index + 1));
                around.is_none_or(|(before, after)| {
                    let apart = (after.position.beat - before.position.beat).0;
                    apart >= EIGHTHS_APART * onset.position.pulse_length.0
                })
            };
            let found = if among_eighths {
                self.beat_of(onset)
            } else {
                onset.is_on_beat().then(|| (onset.position.pulse_start(), 0.0))
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

    /// The beat of an onset among eighths, and its deviation from the lag in seconds.
    fn beat_of(&self, onset: &Onset) -> Option<(Beat, f64)> {
        let pulse = onset.pulse_seconds();
        let pulses_on = (onset.in_pulse() - self.lag.mean / pulse).round();
        let beat =
            onset.position.pulse_start() + BeatSpan(pulses_on * onset.position.pulse_length.0);
        let away = onset.late_for(beat).0 - self.lag.mean;
        let and = self.and.mean;
        // Half-way to the "and" before or after it.
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
