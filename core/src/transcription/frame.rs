//! The short-time Fourier transform of the newest samples, and its inverse by overlap-add.

use realfft::num_complex::Complex32;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};
use std::sync::Arc;

/// Overlapping windows, applied before the transform and after its inverse.
pub(super) struct Frame {
    forward: Arc<dyn RealToComplex<f32>>,
    backward: Arc<dyn ComplexToReal<f32>>,
    /// The square root of the Hann window.
    window: Vec<f32>,
    newest: Vec<f32>,
    time: Vec<f32>,
    spectrum: Vec<Complex32>,
    scratch: Vec<Complex32>,
}

impl Frame {
    /// With windows of this many samples.
    pub(super) fn new(length: usize) -> Self {
        let mut planner = RealFftPlanner::<f32>::new();
        let forward = planner.plan_fft_forward(length);
        let backward = planner.plan_fft_inverse(length);
        let scratch = forward.get_scratch_len().max(backward.get_scratch_len());
        Self {
            window: super::hann(length).into_iter().map(f32::sqrt).collect(),
            newest: vec![0.0; length],
            time: vec![0.0; length],
            spectrum: forward.make_output_vec(),
            scratch: vec![Complex32::default(); scratch],
            forward,
            backward,
        }
    }

    /// Sets a sample of the newest hop.
    pub(super) fn put(&mut self, place: usize, sample: f32) {
        let place = self.newest.len() - super::HOP + place;
        if let Some(kept) = self.newest.get_mut(place) {
            *kept = sample;
        }
    }

    /// The newest samples, in order.
    pub(super) fn newest(&self) -> &[f32] {
        &self.newest
    }

    /// Transforms the newest samples, and moves on by a hop.
    pub(super) fn transform(&mut self) -> &[Complex32] {
        for ((to, from), weight) in self.time.iter_mut().zip(&self.newest).zip(&self.window) {
            *to = from * weight;
        }
        let (time, spectrum) = (&mut self.time, &mut self.spectrum);
        if self.forward.process_with_scratch(time, spectrum, &mut self.scratch).is_err() {
            self.spectrum.fill(Complex32::default());
        }
        self.newest.copy_within(super::HOP.., 0);
        &self.spectrum
    }

    /// Its spectrum.
    pub(super) fn spectrum(&self) -> &[Complex32] {
        &self.spectrum
    }

    /// Applies the gains to the spectrum, and adds its inverse transform to `sum`.
    pub(super) fn add_to(&mut self, sum: &mut [f32], gains: &[f32]) {
        for (bin, gain) in self.spectrum.iter_mut().zip(gains) {
            *bin *= gain;
        }
        // The outermost bins of a real signal are real.
        if let [first, .., last] = self.spectrum.as_mut_slice() {
            (first.im, last.im) = (0.0, 0.0);
        }
        let (spectrum, time) = (&mut self.spectrum, &mut self.time);
        if self.backward.process_with_scratch(spectrum, time, &mut self.scratch).is_err() {
            return;
        }
        // Overlapping Hann windows add up to half their length in hops.
        let scale = 2.0 * super::real(super::HOP) / super::real(self.time.len()).powi(2);
        for ((to, from), weight) in sum.iter_mut().zip(&self.time).zip(&self.window) {
            *to += from * weight * scale;
        }
    }
}
