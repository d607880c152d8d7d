//! Samples at the analysis rate; with a band's track, without the band.

use super::ANALYSIS_RATE;
use super::bleed::{self, Bleed};
use super::resample::{Resampler, UnknownRate};

/// See the module.
pub(super) struct Intake {
    resampler: Resampler,
    /// With a band's track.
    bleed: Option<Bleed>,
}

impl Intake {
    /// For sound at this sample rate.
    ///
    /// # Errors
    /// If the rate is not supported.
    pub(super) fn new(rate: u32) -> Result<Self, UnknownRate> {
        UnknownRate::unless_known(rate)?;
        Ok(Self { resampler: Resampler::new(rate), bleed: None })
    }

    /// The same with a band's track.
    ///
    /// # Errors
    /// If the rate is not supported.
    pub(super) fn beside_band(rate: u32) -> Result<Self, UnknownRate> {
        Ok(Self { bleed: Some(Bleed::new()), ..Self::new(rate)? })
    }

    /// The delay of the output, in seconds.
    pub(super) fn delay(&self) -> f64 {
        let beside = self.bleed.as_ref().map_or(0, |_| bleed::DELAY);
        self.resampler.delay() + crate::stats::real(beside) / f64::from(ANALYSIS_RATE)
    }

    /// Processes samples, with one of the band's for each resampled one. Calls `each` with the samples without the band,
    /// and the part that was removed.
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

    /// Processes this many samples of silence at the analysis rate, and flushes the delayed samples.
    pub(super) fn silence(&mut self, samples: usize, mut each: impl FnMut(f32, f32)) {
        match &mut self.bleed {
            None => (0..samples).for_each(|_| each(0.0, 0.0)),
            Some(bleed) => {
                (0..samples + bleed::DELAY).for_each(|_| bleed.push(0.0, 0.0, &mut each));
            }
        }
    }
}
