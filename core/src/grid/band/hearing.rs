//! How much is new in three parts of the spectrum, every 5 ms.
//!
//! Log magnitudes against the usual ones of the last seconds; what grows within two hops is new. It is
//! told against its own mean, so that neither loudness nor the microphone counts.

use super::mean::Mean;
use super::{real, single};
use crate::time::Second;
use crate::transcription::resample::Resampler;
use crate::transcription::spectrum::Magnitudes;
use crate::transcription::{ANALYSIS_RATE, UnknownRate};

/// Samples from one hop to the next at the rate of the analysis: 5 ms.
const HOP: usize = 120;

/// Seconds from one hop to the next.
pub const HOP_SECONDS: f64 = 0.005;

/// Samples of a spectrum: 21 ms, as 1,024 points at 48 kHz.
const LENGTH: usize = 512;

/// Parts of the spectrum: bass and bass drum; snare drum, toms and all pitches; cymbals.
pub(super) const PARTS: usize = 3;

/// Their bounds in Hz, and the mean that what is new in them typically has. Origin: a study of rendered bands; the
/// rate of the analysis ends the last; medians over 156 rendered bands, of which nine in ten lie within a third.
const PARTS_OF_SPECTRUM: [(f32, f32, f32); PARTS] =
    [(40.0, 250.0, 0.14), (250.0, 2_500.0, 0.18), (5_000.0, 11_000.0, 0.20)];

/// The typical mean counts as much as so many hops: 1 s. The first strokes of a band are told against it. Origin:
/// own choice.
const TYPICAL_FOR: f32 = 200.0;

/// Hops of the mean that is usual: 3 s. Origin: as above.
const USUAL: f32 = 600.0;

/// A magnitude counts from this part of the usual one on. Origin: −10 dB; common practice, no source.
const FLOOR: f32 = 0.3;

/// Under this part of its usual magnitude a part of the spectrum is silent, and the usual one waits for it.
/// Origin: −26 dB, a break; common practice, no source.
const SILENT: f32 = 0.05;

/// Under this magnitude, where a sine at full scale has a quarter of the length, it is silent in any case.
/// Origin: −90 dB, under the noise of 16 bits.
const NOTHING: f32 = 3e-5 * 128.0;

/// Without something new for so many hops a part says nothing: 0.75 s, or a beat at 80 a minute.
const SAYS_FOR: u32 = 150;

/// How much new it takes to be something, against its mean.
const SOMETHING: f32 = 1.5;

/// Steps of a hop's values to 1: 16, so that a byte reaches 15 times the mean.
const STEPS: f32 = 16.0;

/// What is new in each part of the spectrum in a hop, in 16ths of its mean over 3 s, from 1 on; 0 where the
/// part has been silent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Hop(pub [u8; PARTS]);

/// Hears a band's track; see the module.
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
    /// Its log magnitudes in the last two hops, the newer first, and room for those of this one.
    past: [Vec<f32>; 3],
    usual: Mean,
    flux: Mean,
    /// Hops since something was new.
    since: u32,
}

impl BandHearing {
    /// Of a track with so many samples a second.
    ///
    /// # Errors
    /// If no sound has that rate.
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

    /// When a hop is, of which the first is 0.
    #[must_use]
    pub fn first_hop(&self) -> Second {
        let analysis = f64::from(ANALYSIS_RATE);
        // The middle of the window, and of the two hops between the spectra that are compared.
        let middle = (crate::stats::real(LENGTH) / 2.0) / analysis;
        Second(-middle - self.resampler.delay())
    }

    /// Takes in samples; `told` is called for each hop.
    pub fn push(&mut self, samples: &[f32], mut told: impl FnMut(Hop)) {
        for sample in samples {
            // A sample gives at most three, where the track has a third of the rate.
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
                    told(self.look());
                    self.window.copy_within(HOP.., 0);
                }
            }
        }
    }

    fn look(&mut self) -> Hop {
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
            usual: Mean::default(),
            flux: Mean::starting(typical, TYPICAL_FOR),
            since: SAYS_FOR,
        }
    }

    /// What is new in it, as a hop has it.
    fn next(&mut self, bins: &[f32]) -> u8 {
        self.past.rotate_right(1);
        let [newest, _, before] = &mut self.past;
        let count = real(newest.len());
        let bins = bins.get(self.first..).unwrap_or_default();
        let loud = bins.iter().take(newest.len()).sum::<f32>() / count;
        let is_silent = loud < NOTHING || loud < self.usual.get() * SILENT;
        if !is_silent {
            self.usual.add(loud, USUAL);
        }
        let scale = 1.0 / (FLOOR * self.usual.get().max(NOTHING));
        let mut new = 0.0;
        for ((value, before), bin) in newest.iter_mut().zip(before.iter()).zip(bins) {
            *value = (bin * scale).ln_1p();
            new += (*value - before).max(0.0);
        }
        new /= count;
        if !is_silent {
            self.flux.add(new, USUAL);
        }
        let usual = self.flux.get();
        let ratio = if usual > 0.0 { new / usual } else { 0.0 };
        let is_something = !is_silent && ratio >= SOMETHING;
        self.since = if is_something { 0 } else { self.since.saturating_add(1) };
        if self.since >= SAYS_FOR { 0 } else { byte(ratio) }
    }
}

/// From 1 on.
fn byte(ratio: f32) -> u8 {
    let steps = single(f64::from((ratio * STEPS).clamp(0.0, 254.0)));
    u8::try_from(super::whole(f64::from(steps))).unwrap_or(254).saturating_add(1)
}
