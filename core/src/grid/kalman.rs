//! The moment and the length of a felt beat, followed from beat to beat, and smoothed from both sides.
//!
//! The state is the time of a beat and the length of one (Kalman 1960; the smoother is that of Rauch,
//! Tung and Striebel 1965). The noises are in proportion to the length, so that slow and fast tempos
//! drift alike.

use super::PULSE_SECONDS;

/// How far a beat comes off an even row, as a share of its length. Origin: fitted to the labelled beats of
/// solos, of odd number in their collection.
const PHASE_DRIFT: f64 = 0.03;

/// How far the tempo drifts from beat to beat, as a share. Origin: as above.
const TEMPO_DRIFT: f64 = 0.003;

/// How far a tap lies from its beat as a standard deviation: in seconds, and as a share of the beat,
/// whichever is more. Origin: people tap along within 3 to 5 % of the beat (Repp 2005); fitted as above.
const TAP_SD: f64 = 0.012;
const TAP_SD_SHARE: f64 = 0.025;

/// A beat of a count-in lies this far off an even row besides, as a share. Origin: fitted as above.
const COUNT_IN_SD_SHARE: f64 = 0.05;

/// How far a tap lies from its beat, in seconds.
pub(super) fn tap_sd(period: f64) -> f64 {
    TAP_SD.max(TAP_SD_SHARE * period)
}

/// What is known of a beat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BeatState {
    /// When it is, in seconds.
    pub time: f64,
    /// How long a beat is, in seconds.
    pub period: f64,
    /// Variance of the time.
    time_variance: f64,
    covariance: f64,
    /// Variance of the length.
    period_variance: f64,
}

impl BeatState {
    /// A beat whose time is known within `time_sd` and its length within `period_sd`, both in seconds.
    pub fn new(time: f64, period: f64, time_sd: f64, period_sd: f64) -> Self {
        Self {
            time,
            period: bounded(period),
            time_variance: time_sd * time_sd,
            covariance: 0.0,
            period_variance: period_sd * period_sd,
        }
    }

    /// A beat at the end of an even row of four taps: variances and covariance of a least-squares line at
    /// its last point.
    pub fn after_four(time: f64, period: f64) -> Self {
        let sd = TAP_SD.max(COUNT_IN_SD_SHARE * period);
        let variance = sd * sd;
        Self {
            time,
            period: bounded(period),
            time_variance: 0.7 * variance,
            covariance: 0.3 * variance,
            period_variance: 0.2 * variance,
        }
    }

    /// How far the time may be off, as a standard deviation in seconds.
    pub fn time_sd(&self) -> f64 {
        self.time_variance.max(0.0).sqrt()
    }

    /// The next beat.
    pub fn next(&self) -> Self {
        let (phase, tempo) = (PHASE_DRIFT * self.period, TEMPO_DRIFT * self.period);
        Self {
            time: self.time + self.period,
            period: self.period,
            time_variance: self.time_variance
                + 2.0 * self.covariance
                + self.period_variance
                + phase * phase,
            covariance: self.covariance + self.period_variance,
            period_variance: self.period_variance + tempo * tempo,
        }
    }

    /// The beat `count` beats on.
    pub fn after(&self, count: i64) -> Self {
        (0..count).fold(*self, |state, _| state.next())
    }

    /// The beat as it is known once it was observed at `time`, within `sd` seconds.
    pub fn observed(&self, time: f64, sd: f64) -> Self {
        let off = time - self.time;
        let total = self.time_variance + sd * sd;
        let (gain, of_period) = (self.time_variance / total, self.covariance / total);
        Self {
            time: self.time + gain * off,
            period: bounded(self.period + of_period * off),
            time_variance: (1.0 - gain) * self.time_variance,
            covariance: (1.0 - gain) * self.covariance,
            period_variance: self.period_variance - of_period * self.covariance,
        }
    }

    /// This beat as it is known once the `next` one is known from both sides.
    fn smoothed(&self, next: &Self) -> Self {
        let expected = self.next();
        let determinant = expected.time_variance * expected.period_variance
            - expected.covariance * expected.covariance;
        if determinant <= 0.0 || !determinant.is_finite() {
            return *self;
        }
        // The gain is P Fᵀ times the inverse of what was expected.
        let (time, both) = (self.time_variance + self.covariance, self.covariance);
        let (of_period, alone) = (self.covariance + self.period_variance, self.period_variance);
        let (a, b, c) = (expected.time_variance, expected.covariance, expected.period_variance);
        let gain = [
            (time * c - both * b) / determinant,
            (both * a - time * b) / determinant,
            (of_period * c - alone * b) / determinant,
            (alone * a - of_period * b) / determinant,
        ];
        let (late, longer) = (next.time - expected.time, next.period - expected.period);
        let [tt, tp, pt, pp] = gain;
        let (da, db, dc) = (next.time_variance - a, next.covariance - b, next.period_variance - c);
        Self {
            time: self.time + tt * late + tp * longer,
            period: bounded(self.period + pt * late + pp * longer),
            time_variance: self.time_variance + tt * tt * da + 2.0 * tt * tp * db + tp * tp * dc,
            covariance: self.covariance + tt * pt * da + (tt * pp + tp * pt) * db + tp * pp * dc,
            period_variance: self.period_variance
                + pt * pt * da
                + 2.0 * pt * pp * db
                + pp * pp * dc,
        }
    }
}

/// Smooths a row of beats that were followed one after another: each as it is known from both sides.
pub(super) fn smooth(followed: &mut [BeatState]) {
    let mut later: Option<BeatState> = None;
    for state in followed.iter_mut().rev() {
        if let Some(next) = &later {
            *state = state.smoothed(next);
        }
        later = Some(*state);
    }
}

fn bounded(period: f64) -> f64 {
    period.clamp(*PULSE_SECONDS.start(), *PULSE_SECONDS.end())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// To observe the next beat and smooth back is to condition on what was observed, for which the
    /// formula of joint normal variables is known.
    #[test]
    fn smoothing_is_conditioning() {
        let state = BeatState {
            time: 0.5,
            period: 0.5,
            time_variance: 4e-4,
            covariance: 1e-4,
            period_variance: 2e-4,
        };
        let next = state.next().observed(1.02, 0.01);
        let smoothed = state.smoothed(&next);
        // The covariance of this beat's time with the next one's is 5e-4, of its length 3e-4.
        let total = state.next().time_variance + 1e-4;
        assert!((smoothed.time - (0.5 + 5e-4 / total * 0.02)).abs() < 1e-12, "{smoothed:?}");
        assert!((smoothed.period - (0.5 + 3e-4 / total * 0.02)).abs() < 1e-12);
        assert!((smoothed.time_variance - (4e-4 - 25e-8 / total)).abs() < 1e-12);
        assert!((smoothed.period_variance - (2e-4 - 9e-8 / total)).abs() < 1e-12);
    }

    #[test]
    fn an_even_row_stays_even() {
        let mut state = BeatState::after_four(1.5, 0.5);
        for beat in 4..40 {
            state = state.next().observed(f64::from(beat) * 0.5, 0.02);
        }
        assert!((state.time - 19.5).abs() < 1e-9 && (state.period - 0.5).abs() < 1e-9);
        assert!(state.time_sd() < 0.02, "{}", state.time_sd());
    }
}
