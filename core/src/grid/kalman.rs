//! A Kalman filter and smoother for the time and period of a felt beat.
//!
//! The state is the time of a beat and the beat period (Kalman 1960; the smoother is that of Rauch, Tung and
//! Striebel 1965). The noise is proportional to the period, so that slow and fast tempos drift alike.

use super::PULSE_SECONDS;

/// Deviation of a beat from an even pulse, as a share of the period. Origin: fitted to the labelled beats of
/// solos, of odd number in their collection.
const PHASE_DRIFT: f64 = 0.03;

/// Drift of the period from beat to beat, as a share. Origin: as above.
const TEMPO_DRIFT: f64 = 0.003;

/// Error of a tap as a standard deviation: in seconds, or as a share of the period, whichever is more. Origin:
/// people tap along within 3 to 5 % of the beat (Repp 2005); fitted as above.
const TAP_SD: f64 = 0.012;
const TAP_SD_SHARE: f64 = 0.025;

/// Error of a tap of a count-in, as a share of the period. Origin: fitted as above.
const COUNT_IN_SD_SHARE: f64 = 0.05;

/// Error of a tap as a standard deviation, in seconds.
pub(super) fn tap_sd(period: f64) -> f64 {
    TAP_SD.max(TAP_SD_SHARE * period)
}

/// The estimate of a beat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BeatState {
    /// Its time, in seconds.
    pub time: f64,
    /// The beat period, in seconds.
    pub period: f64,
    /// Variance of the time.
    time_variance: f64,
    covariance: f64,
    /// Variance of the period.
    period_variance: f64,
}

impl BeatState {
    /// A beat from its time and period and their standard deviations, all in seconds.
    pub fn new(time: f64, period: f64, time_sd: f64, period_sd: f64) -> Self {
        Self {
            time,
            period: bounded(period),
            time_variance: time_sd * time_sd,
            covariance: 0.0,
            period_variance: period_sd * period_sd,
        }
    }

    /// The last of four even taps: variances and covariance of a least-squares line at its last point.
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

    /// The standard deviation of the time, in seconds.
    pub fn time_sd(&self) -> f64 {
        self.time_variance.max(0.0).sqrt()
    }

    /// Predicts the next beat.
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

    /// Predicts the beat `count` beats on.
    pub fn after(&self, count: i64) -> Self {
        (0..count).fold(*self, |state, _| state.next())
    }

    /// Updates the beat with an observation at `time`, with a standard deviation of `sd` seconds.
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

    /// Smooths this beat, given the smoothed `next` one.
    fn smoothed(&self, next: &Self) -> Self {
        let expected = self.next();
        let determinant = expected.time_variance * expected.period_variance
            - expected.covariance * expected.covariance;
        if determinant <= 0.0 || !determinant.is_finite() {
            return *self;
        }
        // The gain is P Fᵀ times the inverse of the predicted covariance.
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

/// The backward pass: smooths consecutive filtered beats in place.
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

    /// Observing the next beat and smoothing back is conditioning on the observation, for which joint normal
    /// variables have a known formula.
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
        // The covariance of the next beat's time with this one's time is 5e-4, with its period 3e-4.
        let total = state.next().time_variance + 1e-4;
        assert!((smoothed.time - (0.5 + 5e-4 / total * 0.02)).abs() < 1e-12, "{smoothed:?}");
        assert!((smoothed.period - (0.5 + 3e-4 / total * 0.02)).abs() < 1e-12);
        assert!((smoothed.time_variance - (4e-4 - 25e-8 / total)).abs() < 1e-12);
        assert!((smoothed.period_variance - (2e-4 - 9e-8 / total)).abs() < 1e-12);
    }

    #[test]
    fn even_beats_stay_even() {
        let mut state = BeatState::after_four(1.5, 0.5);
        for beat in 4..40 {
            state = state.next().observed(f64::from(beat) * 0.5, 0.02);
        }
        assert!((state.time - 19.5).abs() < 1e-9 && (state.period - 0.5).abs() < 1e-9);
        assert!(state.time_sd() < 0.02, "{}", state.time_sd());
    }
}
