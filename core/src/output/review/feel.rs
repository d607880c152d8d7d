//! The time feel of a phrase in a review.

use super::rounded;
use crate::microtiming::TimeFeel;
use crate::stats::Share;
use serde::Serialize;

/// The time feel of a phrase. Figures without notes are null.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReviewedFeel {
    /// Number of notes on a beat.
    pub on_beat_notes: u32,
    /// Their mean lag, in milliseconds.
    pub on_beat_lag_ms: Option<f64>,
    /// Number of notes on an "and".
    pub off_beat_notes: u32,
    /// Their mean lag behind the straight "and", in milliseconds.
    pub off_beat_lag_ms: Option<f64>,
    /// Number of beats with a beat-upbeat ratio.
    pub swing_pairs: u32,
    /// Their ratio, long eighth to short.
    pub swing_ratio: Option<f64>,
    /// Mean syncopation per bar.
    pub syncopation: Option<f64>,
    /// Whether the first note is held over the next bar line.
    pub entry_held_over: Option<bool>,
    /// Whether the last note is held over the next bar line.
    pub exit_held_over: Option<bool>,
}

impl ReviewedFeel {
    /// The time feel for a review.
    #[must_use]
    pub fn of(feel: &TimeFeel) -> Self {
        let held = |share: &Share| (share.of > 0).then_some(share.count > 0);
        Self {
            on_beat_notes: feel.lag.on_beat_ms.count(),
            on_beat_lag_ms: feel.lag.on_beat_ms.mean().map(rounded),
            off_beat_notes: feel.lag.off_beat_ms.count(),
            off_beat_lag_ms: feel.lag.off_beat_ms.mean().map(rounded),
            swing_pairs: feel.swing.log2_ratio.count(),
            swing_ratio: feel.swing.ratio().map(rounded),
            syncopation: feel.syncopation.mean().map(rounded),
            entry_held_over: held(&feel.entries_held_over),
            exit_held_over: held(&feel.exits_held_over),
        }
    }
}
