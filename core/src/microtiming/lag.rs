//! How far behind or ahead of the grid a line is played, on the beat and off it.
//!
//! Aim: tell a line that is laid back from one that rushes, and a steady one from a loose one.
//! Source of the idea to keep beat and off-beat apart: Nelias and others 2022, who find that
//! soloists play downbeats late, about 30 ms, and off-beats in time with the rhythm section.
//!
//! Conventions: milliseconds at the tempo where the note was played; late is positive.
//! - *On the beat*: notes read as on a pulse, from that pulse.
//! - *Off the beat*: notes read as on the "and", from the middle of the pulse: from the straight
//!   "and". Swing is thus part of it: an off-beat exactly where a ratio of 2:1 puts it is a sixth
//!   of a beat late. It is not taken from the place that the line's own ratio implies, because
//!   that says nothing new: such a ratio is measured from the line's own beats, so that the lag
//!   of the beats would come out again. Against a band that swings at a ratio r, take off
//!   r / (1 + r) − 1/2 beats; how steady the off-beats are does not depend on it.
//! - Of *eighths*: the same of beats that have a note, one more on the "and", and nothing else.
//!   Both kinds are of the same beats. Published delays are of such pairs; lines in double time
//!   lie closer to the beat.
//! - Metres whose pulse divides in three have no off-beat of this kind.
//!
//! Which notes are on a beat is told by the player's own timing ([`super::own_timing`]); which
//! are on the "and", and which are pairs of eighths, by the quantizer.

use super::onsets::Onset;
use crate::stats::sample::Sample;
use crate::time::Beat;
use serde::Serialize;

/// Lags in milliseconds. Their standard deviation is how unsteady the line is.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Lag {
    /// From the beat, of notes on it.
    pub on_beat_ms: Sample,
    /// From the straight "and", of notes on the "and", swung or not.
    pub off_beat_ms: Sample,
    /// From the beat, of the first of two eighths.
    pub eighths_on_beat_ms: Sample,
    /// From the straight "and", of the second of two eighths.
    pub eighths_off_beat_ms: Sample,
}

impl Lag {
    /// Of the onsets of a phrase; `beats` has for each the beat it is on, if any.
    #[must_use]
    pub fn of(onsets: &[Onset], beats: &[Option<Beat>]) -> Self {
        let mut lag = Self::default();
        for (onset, beat) in onsets.iter().zip(beats) {
            if let Some(beat) = beat {
                lag.on_beat_ms.push(late_ms(onset, *beat));
            } else if onset.is_on_and() {
                lag.off_beat_ms.push(late_ms(onset, onset.straight_and()));
            }
        }
        let after = onsets.iter().skip(2).map(Some).chain([None]);
        for (pair, next) in onsets.windows(2).zip(after) {
            let [first, second] = pair else { continue };
            let beat = first.pulse_start();
            let is_pair = first.is_on_beat() && second.is_on_and() && second.is_in_pulse_at(beat);
            if is_pair && !next.is_some_and(|third| third.is_in_pulse_at(beat)) {
                lag.eighths_on_beat_ms.push(late_ms(first, beat));
                lag.eighths_off_beat_ms.push(late_ms(second, second.straight_and()));
            }
        }
        lag
    }

    /// Takes in the lags of another stretch.
    pub fn absorb(&mut self, other: &Self) {
        self.on_beat_ms.absorb(&other.on_beat_ms);
        self.off_beat_ms.absorb(&other.off_beat_ms);
        self.eighths_on_beat_ms.absorb(&other.eighths_on_beat_ms);
        self.eighths_off_beat_ms.absorb(&other.eighths_off_beat_ms);
    }
}

/// How late an onset is for the place it is meant for, in milliseconds.
fn late_ms(onset: &Onset, meant: Beat) -> f64 {
    onset.late_for(meant).0 * 1e3
}
