//! The band's samples at the rate of the analysis, for [`super::NoteTracker::push_beside`].

use super::ANALYSIS_RATE;
use super::resample::{Resampler, UnknownRate};

/// Brings the band's sound to the rate of the analysis.
#[derive(Debug, Clone)]
pub struct BandSamples {
    resampler: Resampler,
}

impl BandSamples {
    /// Samples a second that come out.
    pub const RATE: u32 = ANALYSIS_RATE;

    /// Of a band with so many samples a second.
    ///
    /// # Errors
    /// If no sound has that rate.
    pub fn new(rate: u32) -> Result<Self, UnknownRate> {
        UnknownRate::unless_known(rate)?;
        Ok(Self { resampler: Resampler::new(rate) })
    }

    /// Takes in samples; `each` gets those at the rate of the analysis.
    pub fn push(&mut self, samples: &[f32], mut each: impl FnMut(f32)) {
        samples.iter().for_each(|sample| self.resampler.push(*sample, &mut each));
    }
}
