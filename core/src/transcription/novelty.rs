//! The novelty of the spectrum: SuperFlux (Böck and Widmer 2013).
//!
//! The growth of log magnitudes in bands, each compared with the maximum of its neighbours some hops before, so that
//! vibrato, which moves from band to band, adds little.

use super::RATE;
use super::spectrum::Magnitudes;

/// Length of the transform: 21 ms, like 1,024 samples at 48 kHz.
pub(super) const LENGTH: usize = 512;

/// Bands per octave, and the lowest and highest, in Hz. Origin of the first: the paper; of the others: the range of
/// horns, guitars and voices.
const BANDS_AN_OCTAVE: f32 = 24.0;
const LOWEST: f32 = 90.0;
const HIGHEST: f32 = 11_000.0;

/// Hops between the compared spectra. Origin: a study of causal trackers; 16 ms.
const APART: usize = 3;

/// The floor of the magnitudes, as a share of the player's usual one. Origin: 46 dB below it.
const FLOOR: f32 = 0.005;

/// Parts of the spectrum, from low to high.
pub(super) const PARTS: usize = 6;

/// The spectrum of a hop. Magnitudes are decimal logarithms above the floor.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Spectrum {
    /// The mean novelty over all bands.
    pub novelty: f32,
    /// The spectral centroid, from 0 for the lowest band to 1.
    pub brightness: f32,
    /// The novelty and the magnitude of each part.
    pub new: [f32; PARTS],
    pub loud: [f32; PARTS],
}

/// Computes the spectrum of each hop.
pub(super) struct Novelty {
    magnitudes: Magnitudes,
    bands: Vec<Band>,
    /// Log magnitudes of the last hops, the newest first.
    past: [Vec<f32>; APART + 1],
}

/// A band: its first bin, and the weights of its bins.
struct Band {
    first: usize,
    weights: Vec<f32>,
}

impl Novelty {
    pub(super) fn new() -> Self {
        let bands = bands();
        Self {
            magnitudes: Magnitudes::new(LENGTH),
            past: core::array::from_fn(|_| vec![0.0; bands.len()]),
            bands,
        }
    }

    /// The spectrum of the last [`LENGTH`] samples. `usual` is the player's usual amplitude.
    pub(super) fn next(&mut self, samples: &[f32], usual: f32) -> Spectrum {
        let magnitudes = self.magnitudes.of(samples);
        self.past.rotate_right(1);
        let [newest, .., oldest] = &mut self.past;
        // A sine of amplitude 1 has a quarter of the length in its bin.
        let scale = 4.0 / (super::real(LENGTH) * usual.max(1e-6) * FLOOR);
        for (value, band) in newest.iter_mut().zip(&self.bands) {
            let bins = magnitudes.iter().skip(band.first);
            let sum: f32 = bins.zip(&band.weights).map(|(bin, weight)| bin * weight).sum();
            *value = (1.0 + scale * sum).log10();
        }
        let mut before = 0.0_f32;
        let mut spectrum = Spectrum::default();
        let (mut all, mut high) = (0.0, 0.0);
        let mut old = oldest.iter().copied().peekable();
        let share = self.bands.len().div_ceil(PARTS).max(1);
        let parts = spectrum.new.iter_mut().zip(&mut spectrum.loud);
        for ((part, values), (new, loud)) in newest.chunks(share).enumerate().zip(parts) {
            for (index, value) in values.iter().enumerate() {
                let here = old.next().unwrap_or(0.0);
                let after = old.peek().copied().unwrap_or(0.0);
                *new += (value - before.max(here).max(after)).max(0.0);
                *loud += value;
                high += value * super::real(part * share + index);
                before = here;
            }
            spectrum.novelty += *new;
            all += *loud;
            *new /= super::real(values.len());
            *loud /= super::real(values.len());
        }
        let bands = super::real(self.bands.len().max(1));
        spectrum.novelty /= bands;
        spectrum.brightness = if all > 0.0 { high / all / bands } else { 0.0 };
        spectrum
    }
}

/// Triangular bands, a twenty-fourth of an octave apart; those without a bin of their own are left out.
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
