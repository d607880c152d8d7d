//! The usual lag of recorded soloists.

use crate::time::Tempo;

/// How many milliseconds behind the beat notes on it usually are: less the faster the tempo.
/// Fitted by least squares over the mean tempos of the same solos and the means of
/// [`super::measures::Measures::lag_ms`]; not under 0.
#[must_use]
pub fn usual_lag_ms(tempo: Tempo) -> f64 {
    (USUAL_LAG.0 + USUAL_LAG.1 * tempo.quarters_a_minute()).max(0.0)
}

/// Milliseconds at tempo 0, and more of them for each quarter a minute.
pub const USUAL_LAG: (f64, f64) = (49.0, -0.1617);
