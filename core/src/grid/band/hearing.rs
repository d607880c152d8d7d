//! Spectral flux (novelty) in three parts of the spectrum, every 5 ms.
//!
//! Log magnitudes are relative to their mean over the last seconds; their growth over two hops is the flux. The flux
//! is relative to its own mean, so that it depends neither on the loudness nor on the microphone.

use super::mean::Mean;
use super::real;
use crate::time::Second;
use crate::transcription::resample::Resampler;
use crate::transcription::spectrum::Magnitudes;
use crate::transcription::{ANALYSIS_RATE, UnknownRate};

/// Samples per hop at the analysis rate: 5 ms.
const HOP: usize = 120;

/// Seconds per hop.
pub const HOP_SECONDS: f64 = 0.005;

/// Samples per spectrum: 21 ms, like 1,024 samples at 48 kHz.
const LENGTH: usize = 512;

/// Parts of the spectrum: bass and bass drum; snare drum, toms and all pitches; cymbals.
pub(super) const PARTS: usize = 3;

/// Their bounds in Hz, and their typical mean flux. Origin: a study of rendered bands; the analysis rate limits the
/// last; medians over 156 rendered bands, nine in ten of which lie within a third.
const PARTS_OF_SPECTRUM: [(f32, f32, f32); PARTS] =
    [(40.0, 250.0, 0.14), (250.0, 2_500.0, 0.18), (5_000.0, 11_000.0, 0.20)];

/// The weight of the typical mean, in hops: 1 s. The first strokes of a band are relative to it. Origin: own
/// choice.
const TYPICAL_FOR: f32 = 200.0;

/// The length of the means, in hops: 3 s. Origin: as above.
const MEAN: f32 = 600.0;

/// Magnitudes far below this share of the mean hardly count. Origin: −10 dB; common practice, no source.
const FLOOR: f32 = 0.3;

/// Below this share of its mean magnitude a part of the spectrum is silent, and its means are frozen. Origin:
/// −26 dB, a break; common practice, no source.
const SILENT: f32 = 0.05;

/// Below this magnitude it is always silent; a full-scale sine has a quarter of the length. Origin: −90 dB, below
/// the noise of 16 bits.
const NOTHING: f32 = 3e-5 * 128.0;

/// Hops without an onset after which a part counts as silent: 0.75 s, or a beat at 80 BPM.
const ACTIVE_FOR: u32 = 150;

/// The least flux of an onset, relative to the mean.
const ONSET: f32 = 1.5;

/// A hop's values are in 16ths, so that a byte reaches 15 times the mean.
const STEPS: f32 = 16.0;

/// The flux in each part of the spectrum, in 16ths of its mean over 3 s, plus 1; 0 while the part is silent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Hop(pub [u8; PARTS]);

/// Turns a band's track into hops.
pub struct BandHearing {
    resampler: Resampler,
    magnitudes: Magnitudes,
    /// The newest samples.
    window: Vec<f32>,
    filled: usize,
    parts: [Part; PARTS],
}

/// A part of the spectrum.
struct Part {
    /// Its first bin.
    first: usize,
    /// Its log magnitudes in the last three hops, the newest first.
    past: [Vec<f32>; 3],
    loudness: Mean,
    flux: Mean,
    /// Hops since the last onset.
    since: u32,
}

impl BandHearing {
    /// For a track at this sample rate.
    ///
    /// # Errors
    /// If the rate is not supported.
    pub fn new(rate: u32) -> Result<Self, UnknownRate> {
        UnknownRate::unless_known(rate)?;
        Ok(Self {
            resampler: Resampler::new(rate),
            magnitudes: Magnitudes::new(LENGTH),
            window: vec![0.0; LENGTH],
            filled: 0,
            parts: PARTS_OF_SPECTRUM.map(Part::new),
        })
    }

    /// The time of the first hop, from the first sample.
    #[must_use]
    pub fn first_hop(&self) -> Second {
        let analysis = f64::from(ANALYSIS_RATE);
        // The middle of the window, and of the two hops between the compared spectra.
        let middle = (crate::stats::real(LENGTH) / 2.0) / analysis;
        Second(-middle - self.resampler.delay())
    }

    /// Adds samples. Calls `on_hop` for each hop.
    pub fn push(&mut self, samples: &[f32], mut on_hop: impl FnMut(Hop)) {
        for sample in samples {
            // A sample gives at most three, if the track has a third of the analysis rate.
            let mut due = [0.0; 4];
            let mut count = 0;
            self.resampler.push(*sample, |out| {
                if let Some(kept) = due.get_mut(count) {
                    *kept = out;
                    count += 1;
                }
            });
            for out in due.iter().take(count) {
                if let Some(kept) = self.window.get_mut(LENGTH - HOP + self.filled) {
                    *kept = *out;
                }
                self.filled += 1;
                if self.filled == HOP {
                    self.filled = 0;
                    on_hop(self.analyse());
                    self.window.copy_within(HOP.., 0);
                }
            }
        }
    }

    fn analyse(&mut self) -> Hop {
        let bins = self.magnitudes.of(&self.window);
        let mut hop = Hop::default();
        for (value, part) in hop.0.iter_mut().zip(&mut self.parts) {
            *value = part.next(bins);
        }
        hop
    }
}

impl Part {
    fn new((low, high, typical): (f32, f32, f32)) -> Self {
        let bin =
            |hertz: f32| super::whole(f64::from(hertz * real(LENGTH)) / f64::from(ANALYSIS_RATE));
        let (first, last) = (bin(low).max(1), bin(high));
        Self {
            first,
            past: core::array::from_fn(|_| vec![0.0; last + 1 - first]),
            loudness: Mean::default(),
            flux: Mean::starting(typical, TYPICAL_FOR),
            since: ACTIVE_FOR,
        }
    }

    /// Its value of the next hop.
    fn next(&mut self, bins: &[f32]) -> u8 {
        self.past.rotate_right(1);
        let [newest, _, before] = &mut self.past;
        let count = real(newest.len());
        let bins = bins.get(self.first..).unwrap_or_default();
        let loud = bins.iter().take(newest.len()).sum::<f32>() / count;
        let is_silent = loud < NOTHING || loud < self.loudness.get() * SILENT;
        if !is_silent {
            self.loudness.add(loud, MEAN);
        }
        let scale = 1.0 / (FLOOR * self.loudness.get().max(NOTHING));
        let mut flux = 0.0;
        for ((value, before), bin) in newest.iter_mut().zip(before.iter()).zip(bins) {
            *value = (bin * scale).ln_1p();
            flux += (*value - before).max(0.0);
        }
        flux /= count;
        if !is_silent {
            self.flux.add(flux, MEAN);
        }
        let mean = self.flux.get();
        let ratio = if mean > 0.0 { flux / mean } else { 0.0 };
        let is_onset = !is_silent && ratio >= ONSET;
        self.since = if is_onset { 0 } else { self.since.saturating_add(1) };
        if self.since >= ACTIVE_FOR { 0 } else { byte(ratio) }
    }
}

/// The value of a part that is not silent.
fn byte(ratio: f32) -> u8 {
    let steps = super::whole(f64::from((ratio * STEPS).clamp(0.0, 254.0)));
    u8::try_from(steps).unwrap_or(254).saturating_add(1)
}
