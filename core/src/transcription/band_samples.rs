//! The band's samples at the analysis rate, for [`super::NoteTracker::push_beside`].

use super::ANALYSIS_RATE;
use super::resample::{Resampler, UnknownRate};

/// Resamples the band's sound to the analysis rate.
#[derive(Debug, Clone)]
pub struct BandSamples {
    resampler: Resampler,
}

impl BandSamples {
    /// The output rate, in Hz.
    pub const RATE: u32 = ANALYSIS_RATE;

    /// For a band at this sample rate.
    ///
    /// # Errors
    /// If the rate is not supported.
    pub fn new(rate: u32) -> Result<Self, UnknownRate> {
        UnknownRate::unless_known(rate)?;
        Ok(Self { resampler: Resampler::new(rate) })
    }

    /// Adds samples. Calls `out` for each sample at the analysis rate.
    pub fn push(&mut self, samples: &[f32], mut out: impl FnMut(f32)) {
        samples.iter().for_each(|sample| self.resampler.push(*sample, &mut out));
    }
}
