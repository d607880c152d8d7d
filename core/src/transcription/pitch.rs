//! Pitch by the normalised square difference (McLeod and Wyvill 2005).
//!
//! The newest samples are compared with those a lag before, for all lags at once by two transforms.
//! Where they agree best, the lag is a period or several; the shortest that agrees almost as well as
//! the best is the period, which cures most octave errors.

use super::RATE;
use realfft::num_complex::Complex32;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};
use std::sync::Arc;

/// The newest samples that are compared: 28 ms, and 50 ms for low or unclear tones.
const SHORT: usize = 640;
const LONG: usize = 1_200;

/// The longest period in samples: 62 Hz.
const LONGEST_PERIOD: usize = 388;

/// The shortest period in samples: 2.3 kHz.
const SHORTEST_PERIOD: f32 = 10.4;

/// Samples that are needed.
pub(super) const SPAN: usize = LONG + LONGEST_PERIOD;

/// The first peak this high, as a part of the highest, is the period. Origin: the study.
const AS_GOOD: f32 = 0.8;

/// Clarity over which the short window suffices, and the periods it must hold.
const CLEAR: f32 = 0.8;
const PERIODS: f32 = 4.0;

/// A pitch is refined at a multiple of its period no longer than this, in samples.
const REFINED_AT: f32 = 200.0;

/// A pitch of a hop.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Pitch {
    /// In Hz; 0 where there is none.
    pub hertz: f32,
    /// How alike the periods are, from 0 to 1.
    pub clarity: f32,
}

/// See the module.
pub(super) struct PitchFinder {
    short: Correlation,
    long: Correlation,
    /// Normalised square difference by lag.
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

    /// The pitch of the last [`SPAN`] samples, which is no lower than `lowest` Hz.
    pub(super) fn next(&mut self, samples: &[f32], lowest: f32) -> Pitch {
        let most = super::nearest(RATE / lowest.max(1.0)).min(LONGEST_PERIOD);
        self.short.likeness(samples, &mut self.likeness);
        let pitch = best(&self.likeness, most);
        let holds = super::real(SHORT) / PERIODS;
        if pitch.clarity >= CLEAR && RATE / pitch.hertz.max(1.0) <= holds {
            return pitch;
        }
        self.long.likeness(samples, &mut self.likeness);
        let longer = best(&self.likeness, most);
        if longer.clarity > pitch.clarity { longer } else { pitch }
    }
}

/// The best lag, as a pitch.
fn best(likeness: &[f32], most: usize) -> Pitch {
    let at = |lag: usize| likeness.get(lag).copied().unwrap_or(0.0);
    let least = super::nearest(SHORTEST_PERIOD);
    let mut highest = 0.0_f32;
    // Peaks count from where the likeness has first been below 0: before it lies lag 0 itself.
    let from = (1..most).find(|lag| at(*lag) < 0.0).unwrap_or(most).max(least);
    let peaks = |lag: &usize| at(*lag) > 0.0 && at(*lag - 1) < at(*lag) && at(*lag) >= at(*lag + 1);
    for lag in (from..most).filter(peaks) {
        highest = highest.max(vertex(at(lag - 1), at(lag), at(lag + 1)).1);
    }
    let good = |lag: &usize| vertex(at(*lag - 1), at(*lag), at(*lag + 1)).1 >= AS_GOOD * highest;
    let Some(lag) = (from..most).filter(peaks).find(good) else { return Pitch::default() };
    let (shift, clarity) = vertex(at(lag - 1), at(lag), at(lag + 1));
    let mut period = super::real(lag) + shift;
    // The peak at a multiple tells the period finer, where the tone is steady.
    let mut times = 2.0;
    while period * times <= REFINED_AT && period * times < super::real(most) {
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

/// How far from the middle of three points their parabola is highest, and how high.
fn vertex(before: f32, middle: f32, after: f32) -> (f32, f32) {
    let bend = before - 2.0 * middle + after;
    if bend >= -1e-9 {
        return (0.0, middle);
    }
    let shift = ((before - after) / (2.0 * bend)).clamp(-0.5, 0.5);
    (shift, middle - (before - after) * shift / 4.0)
}

/// A length no shorter than this of which a transform is quick: its prime factors are 2, 3 and 5.
fn quick_length(least: usize) -> usize {
    let is_quick = |length: &usize| {
        let mut rest = *length;
        for factor in [2, 3, 5] {
            while rest.is_multiple_of(factor) {
                rest /= factor;
            }
        }
        rest == 1
    };
    let lengths = (least.div_ceil(STEP)..).map(|steps| steps * STEP);
    lengths.take(STEP).find(is_quick).unwrap_or(least)
}

/// Lengths are multiples of it.
const STEP: usize = 64;

/// Correlates the newest samples with all before them.
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
        // Nothing wraps round over the lags that are asked for.
        let length = quick_length(newest + LONGEST_PERIOD);
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

    /// Writes 2·Σxy / Σ(x² + y²) for each lag: 1 where the newest samples are as those before them.
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
            // One sample farther back: one comes in, the last goes out.
            let into = (LONGEST_PERIOD - 1).checked_sub(lag).and_then(|index| used.get(index));
            lagged += square(into) - square(used.get(span - 1 - lag));
        }
    }
}
