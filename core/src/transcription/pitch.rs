//! Pitch by the normalised square difference (McLeod and Wyvill 2005).
//!
//! The newest samples are compared with those a lag before, for all lags at once by two transforms. The best lag is
//! a multiple of the period; the shortest lag that is almost as good is the period, which avoids most octave errors.

use super::RATE;
use realfft::num_complex::Complex32;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};
use std::sync::Arc;

/// The length of the compared windows: 28 ms, and 50 ms for low or unclear tones.
const SHORT: usize = 640;
const LONG: usize = 1_200;

/// The longest period in samples: 62 Hz.
const LONGEST_PERIOD: usize = 388;

/// The shortest period in samples: 2.3 kHz.
const SHORTEST_PERIOD: f32 = 10.4;

/// Samples required.
pub(super) const SPAN: usize = LONG + LONGEST_PERIOD;

/// The first peak this high, as a share of the highest, is the period. Origin: the study.
const AS_GOOD: f32 = 0.8;

/// The clarity from which the short window is enough, and the periods that it must hold.
const CLEAR: f32 = 0.8;
const PERIODS: f32 = 4.0;

/// A pitch is refined at a multiple of its period no longer than this, in samples.
const REFINED_AT: f32 = 200.0;

/// A pitch of a hop.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Pitch {
    /// In Hz; 0 for none.
    pub hertz: f32,
    /// The similarity of the periods, from 0 to 1.
    pub clarity: f32,
}

/// Finds the pitch of each hop.
pub(super) struct PitchFinder {
    short: Correlation,
    long: Correlation,
    /// The normalised square difference by lag.
    likeness: Vec<f32>,
}

impl PitchFinder {
    pub(super) fn new() -> Self {
        Self {
            short: Correlation::new(SHORT),
            long: Correlation::new(LONG),
            likeness: vec![0.0; LONGEST_PERIOD + 1],
        }
    }

    /// The pitch of the last [`SPAN`] samples, at least `lowest` Hz.
    pub(super) fn next(&mut self, samples: &[f32], lowest: f32) -> Pitch {
        let max_lag = super::nearest(RATE / lowest.max(1.0)).min(LONGEST_PERIOD);
        self.short.likeness(samples, &mut self.likeness);
        let pitch = best(&self.likeness, max_lag);
        let holds = super::real(SHORT) / PERIODS;
        if pitch.clarity >= CLEAR && RATE / pitch.hertz.max(1.0) <= holds {
            return pitch;
        }
        self.long.likeness(samples, &mut self.likeness);
        let longer = best(&self.likeness, max_lag);
        if longer.clarity > pitch.clarity { longer } else { pitch }
    }
}

/// The pitch of the best lag.
fn best(likeness: &[f32], max_lag: usize) -> Pitch {
    let at = |lag: usize| likeness.get(lag).copied().unwrap_or(0.0);
    let min_lag = super::nearest(SHORTEST_PERIOD);
    let mut highest = 0.0_f32;
    // Peaks count from where the likeness first falls below 0, to skip the peak of lag 0.
    let from = (1..max_lag).find(|lag| at(*lag) < 0.0).unwrap_or(max_lag).max(min_lag);
    let peaks = |lag: &usize| at(*lag) > 0.0 && at(*lag - 1) < at(*lag) && at(*lag) >= at(*lag + 1);
    for lag in (from..max_lag).filter(peaks) {
        highest = highest.max(vertex(at(lag - 1), at(lag), at(lag + 1)).1);
    }
    let good = |lag: &usize| vertex(at(*lag - 1), at(*lag), at(*lag + 1)).1 >= AS_GOOD * highest;
    let Some(lag) = (from..max_lag).filter(peaks).find(good) else { return Pitch::default() };
    let (shift, clarity) = vertex(at(lag - 1), at(lag), at(lag + 1));
    let mut period = super::real(lag) + shift;
    // If the tone is steady, the peak at a multiple gives the period more precisely.
    let mut times = 2.0;
    while period * times <= REFINED_AT && period * times < super::real(max_lag) {
        let near = super::nearest(period * times);
        let peak = [near - 1, near, near + 1].into_iter().find(|lag| peaks(lag));
        let Some(peak) = peak else { break };
        let (shift, height) = vertex(at(peak - 1), at(peak), at(peak + 1));
        if height < AS_GOOD * clarity {
            break;
        }
        period = (super::real(peak) + shift) / times;
        times += 1.0;
    }
    Pitch { hertz: RATE / period, clarity: clarity.clamp(0.0, 1.0) }
}

/// The offset and height of the vertex of the parabola through three points.
fn vertex(before: f32, middle: f32, after: f32) -> (f32, f32) {
    let bend = before - 2.0 * middle + after;
    if bend >= -1e-9 {
        return (0.0, middle);
    }
    let shift = ((before - after) / (2.0 * bend)).clamp(-0.5, 0.5);
    (shift, middle - (before - after) * shift / 4.0)
}

/// The next length with a fast transform: its prime factors are 2, 3 and 5.
fn fast_length(least: usize) -> usize {
    let is_fast = |length: &usize| {
        let mut rest = *length;
        for factor in [2, 3, 5] {
            while rest.is_multiple_of(factor) {
                rest /= factor;
            }
        }
        rest == 1
    };
    let lengths = (least.div_ceil(STEP)..).map(|steps| steps * STEP);
    lengths.take(STEP).find(is_fast).unwrap_or(least)
}

/// Lengths are multiples of this.
const STEP: usize = 64;

/// Correlates the newest samples with those before them.
struct Correlation {
    newest: usize,
    forward: Arc<dyn RealToComplex<f32>>,
    backward: Arc<dyn ComplexToReal<f32>>,
    time: Vec<f32>,
    whole: Vec<Complex32>,
    part: Vec<Complex32>,
    scratch: Vec<Complex32>,
}

impl Correlation {
    fn new(newest: usize) -> Self {
        // Long enough that no lag in use wraps around.
        let length = fast_length(newest + LONGEST_PERIOD);
        let mut planner = RealFftPlanner::<f32>::new();
        let forward = planner.plan_fft_forward(length);
        let backward = planner.plan_fft_inverse(length);
        let scratch = forward.get_scratch_len().max(backward.get_scratch_len());
        Self {
            newest,
            time: forward.make_input_vec(),
            whole: forward.make_output_vec(),
            part: forward.make_output_vec(),
            scratch: vec![Complex32::default(); scratch],
            forward,
            backward,
        }
    }

    /// Writes 2·Σxy / Σ(x² + y²) for each lag: 1 if the newest samples equal those a lag before.
    fn likeness(&mut self, samples: &[f32], likeness: &mut [f32]) {
        let span = self.newest + LONGEST_PERIOD;
        let used = samples.get(samples.len().saturating_sub(span)..).unwrap_or_default();
        let place = |time: &mut [f32], used: &[f32], skipped: usize| {
            time.fill(0.0);
            for (to, from) in time.iter_mut().zip(used).skip(skipped) {
                *to = *from;
            }
        };
        place(&mut self.time, used, 0);
        let ok =
            self.forward.process_with_scratch(&mut self.time, &mut self.whole, &mut self.scratch);
        place(&mut self.time, used, LONGEST_PERIOD);
        let ok = ok.and(self.forward.process_with_scratch(
            &mut self.time,
            &mut self.part,
            &mut self.scratch,
        ));
        for (whole, part) in self.whole.iter_mut().zip(&self.part) {
            *whole = whole.conj() * part;
        }
        // The outermost bins of a real signal are real.
        if let [first, .., last] = self.whole.as_mut_slice() {
            first.im = 0.0;
            last.im = 0.0;
        }
        let ok = ok.and(self.backward.process_with_scratch(
            &mut self.whole,
            &mut self.time,
            &mut self.scratch,
        ));
        if ok.is_err() {
            return likeness.fill(0.0);
        }
        let scale = 1.0 / super::real(self.time.len());
        let square = |sample: Option<&f32>| sample.map_or(0.0, |s| f64::from(*s) * f64::from(*s));
        let newest: f64 = used.iter().skip(LONGEST_PERIOD).map(|s| square(Some(s))).sum();
        let mut lagged = newest;
        for (lag, (like, product)) in likeness.iter_mut().zip(&self.time).enumerate() {
            let power = super::single(newest + lagged);
            *like = if power > 1e-9 { 2.0 * product * scale / power } else { 0.0 };
            // One sample farther back: one enters, and the last leaves.
            let into = (LONGEST_PERIOD - 1).checked_sub(lag).and_then(|index| used.get(index));
            lagged += square(into) - square(used.get(span - 1 - lag));
        }
    }
}
