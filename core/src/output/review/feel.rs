//! The time feel of a phrase as it is written down.

use super::rounded;
use crate::microtiming::TimeFeel;
use crate::stats::Share;
use serde::Serialize;

/// Time feel of a phrase. What a phrase has no notes for is null.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReviewedFeel {
    /// How many notes are on a beat.
    pub on_beat_notes: u32,
    /// How late they are in the mean, in milliseconds.
    pub on_beat_lag_ms: Option<f64>,
    /// How many notes are on an "and".
    pub off_beat_notes: u32,
    /// How late they are for the straight "and" in the mean, in milliseconds.
    pub off_beat_lag_ms: Option<f64>,
    /// How many beats have a beat-upbeat ratio.
    pub swing_pairs: u32,
    /// Their ratio, long eighth to short.
    pub swing_ratio: Option<f64>,
    /// Syncopation a bar in the mean.
    pub syncopation: Option<f64>,
    /// Whether the first note is held over the next bar line.
    pub entry_held_over: Option<bool>,
    /// Whether the last one is.
    pub exit_held_over: Option<bool>,
}

impl ReviewedFeel {
    /// As it is written down.
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
