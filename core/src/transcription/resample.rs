//! Resamples to the analysis rate.
//!
//! A polyphase filter: a windowed sinc with one phase for each offset between the two rates, and at most 512. It works
//! sample by sample, so that block boundaries do not matter.

use super::{ANALYSIS_RATE, nearest, single};
use core::f64::consts::PI;

/// Supported sample rates, in Hz.
const RATES: core::ops::RangeInclusive<u32> = 8_000..=384_000;

/// An unsupported sample rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a sample rate of {0} Hz is not supported: 8,000 to 384,000 are")]
pub struct UnknownRate(pub u32);

impl UnknownRate {
    /// Checks that a rate is supported.
    ///
    /// # Errors
    /// If it is not.
    pub(crate) fn unless_known(rate: u32) -> Result<(), Self> {
        if RATES.contains(&rate) { Ok(()) } else { Err(Self(rate)) }
    }
}

/// Half the length of the filter, in samples at the analysis rate. Origin: a stop band below −60 dB from 14 kHz on
/// with the window below, computed.
const HALF_LENGTH: f64 = 10.0;

/// The cut-off frequency: in Hz, and at most this share of the recording's rate.
const CUT_OFF: f64 = 11_000.0;
const CUT_OFF_PART: f64 = 0.45;

/// The shape of the Kaiser window. Origin: −60 dB by Kaiser's formula.
const BETA: f64 = 5.65;

/// The most phases: with the offset rounded to one of them, a tone of 5 kHz is 68 dB above the rounding error.
const MAX_PHASES: u64 = 512;

/// Samples are clamped to this. Origin: 18 dB above full scale, which no recording reaches on purpose.
const LARGEST: f32 = 8.0;

/// A resampler to the analysis rate.
#[derive(Debug, Clone)]
pub(crate) struct Resampler {
    /// The filters of all phases, one after the other.
    filters: Vec<f32>,
    length: usize,
    phases: u64,
    /// The newest samples, stored twice so that the last ones are always contiguous.
    history: Vec<f32>,
    newest: usize,
    /// Input samples per output: `step / unit`.
    step: u64,
    unit: u64,
    /// The time from the newest input to the next output, in units.
    due: u64,
    delay: f64,
}

impl Resampler {
    /// From this sample rate.
    pub(crate) fn new(rate: u32) -> Self {
        let common = greatest_common_divisor(rate, ANALYSIS_RATE);
        let (step, unit) = (u64::from(rate / common), u64::from(ANALYSIS_RATE / common));
        let phases = unit.min(MAX_PHASES);
        let reach =
            (HALF_LENGTH * f64::from(rate) / f64::from(ANALYSIS_RATE)).max(HALF_LENGTH).ceil();
        let length = nearest(single(2.0 * reach));
        let cut = 2.0 * (CUT_OFF / f64::from(rate)).min(CUT_OFF_PART);
        let mut filters = Vec::new();
        for phase in 0..phases {
            let offset = real(phase) / real(phases);
            let tap = |index: usize| {
                // The newest sample comes last.
                let at =
                    crate::stats::real(index) - (crate::stats::real(length) - 1.0) + reach - offset;
                let x = PI * cut * at;
                let sinc = if x.abs() < 1e-9 { 1.0 } else { x.sin() / x };
                cut * sinc * kaiser(at / reach)
            };
            let taps: Vec<f64> = (0..length).map(tap).collect();
            let sum: f64 = taps.iter().sum();
            filters.extend(taps.iter().map(|tap| single(tap / sum)));
        }
        Self {
            filters,
            length,
            phases,
            history: vec![0.0; 2 * length],
            newest: 0,
            step,
            unit,
            due: 0,
            delay: reach / f64::from(rate),
        }
    }

    /// The delay of the output, in seconds.
    pub(crate) fn delay(&self) -> f64 {
        self.delay
    }

    /// Adds a sample. Calls `out` for each output that is due.
    pub(crate) fn push(&mut self, sample: f32, mut out: impl FnMut(f32)) {
        let sample = if sample.is_finite() { sample.clamp(-LARGEST, LARGEST) } else { 0.0 };
        for place in [self.newest, self.newest + self.length] {
            if let Some(kept) = self.history.get_mut(place) {
                *kept = sample;
            }
        }
        self.newest = (self.newest + 1) % self.length;
        while self.due < self.unit {
            let phase = usize::try_from(self.due * self.phases / self.unit).unwrap_or(0);
            let filter = self.filters.chunks_exact(self.length).nth(phase).unwrap_or_default();
            out(product(filter, self.history.get(self.newest..).unwrap_or_default()));
            self.due += self.step;
        }
        self.due -= self.unit;
    }
}

/// The dot product, in lanes for SIMD.
fn product(filter: &[f32], window: &[f32]) -> f32 {
    const LANES: usize = 8;
    let mut sums = [0.0; LANES];
    for (taps, samples) in filter.chunks(LANES).zip(window.chunks(LANES)) {
        for ((sum, tap), sample) in sums.iter_mut().zip(taps).zip(samples) {
            *sum += tap * sample;
        }
    }
    sums.iter().sum()
}

/// The Kaiser window from −1 to 1.
fn kaiser(at: f64) -> f64 {
    let inside = (1.0 - at * at).max(0.0);
    bessel(BETA * inside.sqrt()) / bessel(BETA)
}

/// The modified Bessel function of order 0, by its series.
fn bessel(x: f64) -> f64 {
    let (mut sum, mut term) = (1.0, 1.0);
    for k in 1..40 {
        term *= (x / 2.0 / f64::from(k)).powi(2);
        sum += term;
    }
    sum
}

fn greatest_common_divisor(a: u32, b: u32) -> u32 {
    if b == 0 { a.max(1) } else { greatest_common_divisor(b, a % b) }
}

#[expect(clippy::cast_precision_loss, reason = "phases are few")]
fn real(count: u64) -> f64 {
    count as f64
}
