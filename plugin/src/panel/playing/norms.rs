//! Norms of recorded soloists for the running figures.

use overbar_core::time::metre::Metre;

/// Middle half (lower and upper quartile) of the shares of phrases that enter off the beat, over
/// recorded solos in 4/4, from 0 to 1. Source: Weimar Jazz Database (Pfleiderer and others
/// 2017).
pub const OFF_BEAT_ENTRIES: (f64, f64) = (0.51, 0.80);

/// The norm for off-beat starts; `None` in metres that the solos were not in.
#[must_use]
pub fn off_beat_entries(metre: Metre) -> Option<(f64, f64)> {
    (metre == Metre::COMMON).then_some(OFF_BEAT_ENTRIES)
}
