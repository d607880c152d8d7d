//! The usual lag of recorded soloists.

use crate::time::Tempo;

/// The usual lag of notes on a beat, in milliseconds: less at faster tempos, never below 0. Fitted by
/// least squares over the mean tempos of the solos behind the norms and their mean
/// [`super::measures::Measures::lag_ms`].
pub fn usual_lag_ms(tempo: Tempo) -> f64 {
    (USUAL_LAG.0 + USUAL_LAG.1 * tempo.quarters_a_minute()).max(0.0)
}

/// Milliseconds at tempo 0, and their change per BPM.
pub const USUAL_LAG: (f64, f64) = (49.0, -0.1617);
