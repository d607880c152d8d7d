//! Lag: how far behind the beat grid a line is played, on the beat and off it.
//!
//! On-beat and off-beat notes are separate because soloists play downbeats about 30 ms late and
//! off-beats in time with the rhythm section (Nelias and others 2022).
//!
//! Conventions: milliseconds at the tempo where the note was played; late is positive.
//! - *On the beat*: from the pulse.
//! - *Off the beat*: from the straight "and", the middle of the pulse. Swing is thus part of it: an
//!   off-beat at a ratio of 2:1 is a sixth of a beat late. Lag from the line's own swing would only
//!   repeat the lag of its beats, from which that ratio is measured. Against a band that swings at a
//!   ratio r, subtract r / (1 + r) − 1/2 beats; the spread of the off-beats does not depend on it.
//! - Of *eighths*: both, but only in beats with exactly two notes, on the beat and on the "and", as in
//!   published delays. Lines in double time lie closer to the beat.
//! - A pulse that divides in three has no off-beat of this kind.
//!
//! The player's own timing ([`super::own_timing`]) decides which notes are on a beat; the quantizer which
//! are on the "and", and which are pairs of eighths.

use super::onsets::Onset;
use crate::stats::sample::Sample;
use crate::time::Beat;
use serde::Serialize;

/// Lags in milliseconds. Their standard deviation shows how steady the line is.
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
    /// The lags in a phrase; `beats` has the beat of each onset that is on one.
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
            let beat = first.position.pulse_start();
            let is_pair = first.is_on_beat() && second.is_on_and() && second.is_in_pulse_at(beat);
            if is_pair && !next.is_some_and(|third| third.is_in_pulse_at(beat)) {
                lag.eighths_on_beat_ms.push(late_ms(first, beat));
                lag.eighths_off_beat_ms.push(late_ms(second, second.straight_and()));
            }
        }
        lag
    }

    /// Adds other lags.
    pub fn absorb(&mut self, other: &Self) {
        self.on_beat_ms.absorb(&other.on_beat_ms);
        self.off_beat_ms.absorb(&other.off_beat_ms);
        self.eighths_on_beat_ms.absorb(&other.eighths_on_beat_ms);
        self.eighths_off_beat_ms.absorb(&other.eighths_off_beat_ms);
    }
}

/// How late an onset is for its notated position, in milliseconds.
fn late_ms(onset: &Onset, meant: Beat) -> f64 {
    onset.late_for(meant).0 * 1e3
}
