//! The magnitude spectrum of windowed samples.

use realfft::num_complex::Complex32;
use realfft::{RealFftPlanner, RealToComplex};
use std::sync::Arc;

/// Transforms windows of one length.
pub(crate) struct Magnitudes {
    transform: Arc<dyn RealToComplex<f32>>,
    window: Vec<f32>,
    input: Vec<f32>,
    spectrum: Vec<Complex32>,
    scratch: Vec<Complex32>,
    magnitudes: Vec<f32>,
}

impl Magnitudes {
    /// For windows of `length` samples.
    pub(crate) fn new(length: usize) -> Self {
        let transform = RealFftPlanner::<f32>::new().plan_fft_forward(length);
        let spectrum = transform.make_output_vec();
        Self {
            window: super::hann(length),
            input: transform.make_input_vec(),
            magnitudes: vec![0.0; spectrum.len()],
            spectrum,
            scratch: transform.make_scratch_vec(),
            transform,
        }
    }

    /// The magnitude of each bin, from 0 Hz on: a sine of amplitude 1 has a quarter of the length in its bin.
    pub(crate) fn of(&mut self, samples: &[f32]) -> &[f32] {
        for ((input, sample), weight) in self.input.iter_mut().zip(samples).zip(&self.window) {
            *input = sample * weight;
        }
        let (input, output) = (&mut self.input, &mut self.spectrum);
        let done = self.transform.process_with_scratch(input, output, &mut self.scratch);
        for (magnitude, bin) in self.magnitudes.iter_mut().zip(&self.spectrum) {
            *magnitude = if done.is_ok() { bin.norm_sqr().sqrt() } else { 0.0 };
        }
        &self.magnitudes
    }
}
