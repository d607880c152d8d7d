//! Samples at the rate of the analysis, without the band where it is beside.

use super::ANALYSIS_RATE;
use super::bleed::{self, Bleed};
use super::resample::{Resampler, UnknownRate};

/// See the module.
pub(super) struct Intake {
    resampler: Resampler,
    /// Beside a band.
    bleed: Option<Bleed>,
}

impl Intake {
    /// Of sound with so many samples a second.
    ///
    /// # Errors
    /// If no sound has that rate.
    pub(super) fn new(rate: u32) -> Result<Self, UnknownRate> {
        UnknownRate::unless_known(rate)?;
        Ok(Self { resampler: Resampler::new(rate), bleed: None })
    }

    /// The same beside a band.
    ///
    /// # Errors
    /// If no sound has that rate.
    pub(super) fn beside_band(rate: u32) -> Result<Self, UnknownRate> {
        Ok(Self { bleed: Some(Bleed::new()), ..Self::new(rate)? })
    }

    /// How much later a sound comes out, in seconds.
    pub(super) fn delay(&self) -> f64 {
        let beside = self.bleed.as_ref().map_or(0, |_| bleed::DELAY);
        self.resampler.delay() + crate::stats::real(beside) / f64::from(ANALYSIS_RATE)
    }

    /// Adds samples, and takes one of the band's for each one resampled. `each` gets what is left and the band that was
    /// removed.
    pub(super) fn push(
        &mut self,
        samples: &[f32],
        band: &mut dyn Iterator<Item = f32>,
        mut each: impl FnMut(f32, f32),
    ) {
        let Self { resampler, bleed } = self;
        for sample in samples {
            resampler.push(*sample, |out| match bleed {
                None => each(out, 0.0),
                Some(bleed) => bleed.push(out, band.next().unwrap_or(0.0), &mut each),
            });
        }
    }

    /// Takes in silence of so many samples at the rate of the analysis, and gives all that it held back.
    pub(super) fn silence(&mut self, samples: usize, mut each: impl FnMut(f32, f32)) {
        match &mut self.bleed {
            None => (0..samples).for_each(|_| each(0.0, 0.0)),
            Some(bleed) => {
                (0..samples + bleed::DELAY).for_each(|_| bleed.push(0.0, 0.0, &mut each));
            }
        }
    }
}
