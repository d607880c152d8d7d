//! The newest sound of a band's track, indexed by position on the host's grid or by time.

use overbar_core::transcription::BandSamples;
use std::collections::VecDeque;

/// Samples kept: two seconds.
const KEPT: usize = 2 * BandSamples::RATE as usize;

/// A ring of the newest sound.
#[derive(Default)]
pub struct BandSound {
    /// For sound at this sample rate.
    samples: Option<(u32, BandSamples)>,
    /// In order of arrival.
    stretches: VecDeque<Stretch>,
    kept: usize,
}

/// A contiguous stretch of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Its start and end position.
    span: (f64, f64),
    samples: Vec<f32>,
}

impl BandSound {
    /// Adds mono samples for a span of positions.
    pub fn add(&mut self, span: (f64, f64), rate: u32, mono: &[f32]) {
        if self.samples.as_ref().is_none_or(|(known, _)| *known != rate) {
            self.samples = BandSamples::new(rate).ok().map(|samples| (rate, samples));
        }
        let Some((_, resampled)) = &mut self.samples else { return };
        let mut samples = Vec::with_capacity(mono.len());
        resampled.push(mono, |sample| samples.push(sample));
        self.kept += samples.len();
        self.stretches.push_back(Stretch { span, samples });
        while self.kept > KEPT
            && let Some(oldest) = self.stretches.pop_front()
        {
            self.kept -= oldest.samples.len();
        }
    }

    /// Clears the buffer.
    pub fn clear(&mut self) {
        self.stretches.clear();
        self.kept = 0;
    }

    /// Whether it extends to a position.
    pub fn reaches(&self, to: f64) -> bool {
        self.stretches.back().is_some_and(|newest| newest.span.1 >= to - CLOSE)
    }

    /// The stretches within a span of positions.
    pub fn between(&self, (from, to): (f64, f64)) -> Vec<Stretch> {
        let meets = |stretch: &&Stretch| stretch.span.0 < to && stretch.span.1 > from;
        self.stretches.iter().filter(meets).cloned().collect()
    }
}

/// Positions this close are equal, in beats or seconds: far less than a sample.
const CLOSE: f64 = 1e-6;

/// The sample at a position; 0 if there is none.
pub fn sample_at(stretches: &[Stretch], place: f64) -> f32 {
    let sample = |stretch: &Stretch| {
        let (from, to) = stretch.span;
        let share = (place - from) / (to - from);
        let is_inside = (0.0..1.0).contains(&share);
        // The conversion saturates.
        let index = (share * stretch.samples.len() as f64) as usize;
        stretch.samples.get(index).copied().filter(|_| is_inside)
    };
    // Newest first, in case a loop returned to the position.
    stretches.iter().rev().find_map(sample).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sound_of_the_last_two_seconds_is_found_by_position() {
        let mut sound = BandSound::default();
        let samples: Vec<f32> = (0..240_000).map(|index| (index as f32 * 0.01).sin()).collect();
        let mut expected = Vec::new();
        BandSamples::new(48_000).unwrap().push(&samples, |sample| expected.push(sample));
        for (number, block) in samples.chunks(128).enumerate() {
            let beat = |block: usize| 8.0 + 2.0 * (block * 128) as f64 / 48_000.0;
            sound.add((beat(number), beat(number + 1)), 48_000, block);
        }
        assert!(sound.reaches(18.0) && !sound.reaches(18.01));
        let span = (16.0, 16.5);
        let there = sound.between(span);
        for (number, expected) in expected.iter().enumerate().skip(4 * 24_000).take(6_000) {
            let beat = 8.0 + 2.0 * (number as f64 + 0.5) / 24_000.0;
            assert_eq!(sample_at(&there, beat), *expected, "{number}");
        }
        assert_eq!(sound.between((8.0, 13.9)), [], "what is older is forgotten");
        assert_eq!(sample_at(&there, 12.0), 0.0);
        sound.clear();
        assert!(!sound.reaches(0.0) && sound.between(span).is_empty());
    }
}
