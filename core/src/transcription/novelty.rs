//! How much is new in the spectrum: SuperFlux (Böck and Widmer 2013).
//!
//! Log magnitudes in bands, each against the greatest of its neighbourhood some hops before, so that
//! vibrato, which moves from band to band, counts for little.

use super::RATE;
use realfft::num_complex::Complex32;
use realfft::{RealFftPlanner, RealToComplex};
use std::sync::Arc;

/// Length of the transform: 21 ms, as 1,024 points at 48 kHz.
pub(super) const LENGTH: usize = 512;

/// Bands an octave, and the lowest and highest, in Hz. Origin of the first: the paper. Of the others:
/// where horns, guitars and voices sound.
const BANDS_AN_OCTAVE: f32 = 24.0;
const LOWEST: f32 = 90.0;
const HIGHEST: f32 = 11_000.0;

/// Hops between the spectra that are compared. Origin: a study of causal trackers; 16 ms.
const APART: usize = 3;

/// Magnitudes are counted from this part of the player's usual one. Origin: 46 dB under it.
const FLOOR: f32 = 0.005;

/// See the module.
pub(super) struct Novelty {
    transform: Arc<dyn RealToComplex<f32>>,
    window: Vec<f32>,
    input: Vec<f32>,
    spectrum: Vec<Complex32>,
    scratch: Vec<Complex32>,
    /// The bins of each band: the first, and their weights.
    bands: Vec<Band>,
    /// Log magnitudes of the last hops, the newest first.
    past: [Vec<f32>; APART + 1],
}

struct Band {
    first: usize,
    weights: Vec<f32>,
}

impl Novelty {
    pub(super) fn new() -> Self {
        let transform = RealFftPlanner::<f32>::new().plan_fft_forward(LENGTH);
        let bands = bands();
        Self {
            window: super::hann(LENGTH),
            input: transform.make_input_vec(),
            spectrum: transform.make_output_vec(),
            scratch: transform.make_scratch_vec(),
            past: core::array::from_fn(|_| vec![0.0; bands.len()]),
            bands,
            transform,
        }
    }

    /// What is new in the last [`LENGTH`] samples, a mean over bands of differences in powers of ten;
    /// and how bright they are, from 0, where all is in the lowest band, to 1.
    /// `usual` is the amplitude at which the player usually sounds.
    pub(super) fn next(&mut self, samples: &[f32], usual: f32) -> (f32, f32) {
        for ((input, sample), weight) in self.input.iter_mut().zip(samples).zip(&self.window) {
            *input = sample * weight;
        }
        let (input, output) = (&mut self.input, &mut self.spectrum);
        if self.transform.process_with_scratch(input, output, &mut self.scratch).is_err() {
            return (0.0, 0.0);
        }
        self.past.rotate_right(1);
        let [newest, .., oldest] = &mut self.past;
        // A sine of amplitude 1 has a quarter of the length in its bin.
        let scale = 4.0 / (super::real(LENGTH) * usual.max(1e-6) * FLOOR);
        for (value, band) in newest.iter_mut().zip(&self.bands) {
            let bins = self.spectrum.iter().skip(band.first);
            let sum: f32 =
                bins.zip(&band.weights).map(|(bin, weight)| bin.norm_sqr().sqrt() * weight).sum();
            *value = (1.0 + scale * sum).log10();
        }
        let mut before = 0.0_f32;
        let (mut sum, mut all, mut high) = (0.0, 0.0, 0.0);
        let mut old = oldest.iter().copied().peekable();
        for (index, value) in newest.iter().enumerate() {
            let here = old.next().unwrap_or(0.0);
            let after = old.peek().copied().unwrap_or(0.0);
            sum += (value - before.max(here).max(after)).max(0.0);
            before = here;
            all += value;
            high += value * super::real(index);
        }
        let bands = super::real(self.bands.len().max(1));
        (sum / bands, if all > 0.0 { high / all / bands } else { 0.0 })
    }
}

/// Triangles over the bins, a twenty-fourth of an octave apart, without those that hold no bin of
/// their own.
fn bands() -> Vec<Band> {
    let bin = RATE / super::real(LENGTH);
    let mut centres: Vec<usize> = Vec::new();
    let mut hertz = LOWEST;
    while hertz < HIGHEST {
        let nearest = super::nearest(hertz / bin);
        if centres.last() != Some(&nearest) {
            centres.push(nearest);
        }
        hertz *= (1.0 / BANDS_AN_OCTAVE).exp2();
    }
    let triple = centres.iter().zip(centres.iter().skip(1)).zip(centres.iter().skip(2));
    triple
        .map(|((low, middle), high)| {
            let rise =
                (low + 1..=*middle).map(|bin| super::real(bin - low) / super::real(middle - low));
            let fall =
                (middle + 1..*high).map(|bin| super::real(high - bin) / super::real(high - middle));
            let weights: Vec<f32> = rise.chain(fall).collect();
            let sum: f32 = weights.iter().sum();
            Band { first: low + 1, weights: weights.iter().map(|weight| weight / sum).collect() }
        })
        .collect()
}
