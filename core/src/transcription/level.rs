//! The level: coarse by hop, and fine to date attacks.

use super::HOP;

/// Samples per step of the fine envelope: 1.3 ms.
pub(super) const STEP: usize = 32;

/// Steps per hop.
pub(super) const STEPS: usize = HOP / STEP;

/// Hops over which a level is taken: 16 ms. Origin: the study.
const HOPS: usize = 3;

/// The level of the last hops.
#[derive(Debug, Clone, Default)]
pub(super) struct Level {
    /// Mean squares of the last hops.
    powers: [f32; HOPS],
}

impl Level {
    /// The level in dB of the last [`HOPS`], and the peak of each step of the newest hop.
    pub(super) fn next(&mut self, hop: &[f32]) -> (f32, [f32; STEPS]) {
        self.powers.rotate_left(1);
        if let Some(newest) = self.powers.last_mut() {
            *newest = hop.iter().map(|sample| sample * sample).sum::<f32>() / super::real(HOP);
        }
        let mut peaks = [0.0; STEPS];
        for (peak, step) in peaks.iter_mut().zip(hop.chunks(STEP)) {
            *peak = step.iter().fold(0.0_f32, |most, sample| most.max(sample.abs()));
        }
        (super::decibels(self.powers.iter().sum::<f32>() / super::real(HOPS)), peaks)
    }
}
