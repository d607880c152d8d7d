//! The times of the strokes nearest to a beat, to a fraction of a hop, and their scatter.

use super::hearing::{HOP_SECONDS, Hop, PARTS};
use super::mean::Mean;
use super::{single, whole};
use crate::stats::real;

/// The largest distance of a stroke from its beat, in seconds and as a share of the beat. Origin: fitted to rendered
/// bands whose strokes scatter by 6 and by 25 ms.
const NEAR: f64 = 0.06;
const NEAR_SHARE: f64 = 0.15;

/// The delay from a stroke to its peak in the flux, in seconds, by part of the spectrum; and the extra delay without a
/// cymbal, as the stroke is the bass's. Origin: as above.
const DELAY: [f64; PARTS] = [0.0045, 0.0015, 0.0005];
const BASS_DELAY: f64 = 0.002;

/// The least flux of a stroke, relative to the mean. Origin: as above.
const STROKE: f64 = 2.0;

/// The flux above which all strokes weigh the same. Origin: as above.
const LOUD: f64 = 6.0;

/// The least error of a stroke as a standard deviation, in seconds; and its ratio to the scatter, since all strokes
/// of a beat may be late together. Origin: as above.
const MIN_SD: f64 = 0.005;
const SD_RATIO: f64 = 1.2;

/// Error of a beat of the path, the same. Origin: as above.
const PATH_SD: f64 = 0.025;

/// Recent hops in which the strokes of a beat are found: 0.35 s.
pub(super) const RECENT: usize = 70;

/// The strokes of one beat, by part of the spectrum, in seconds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Strokes([Option<f64>; PARTS]);

/// How loosely a band plays: the mean variance of the strokes of a beat, in ms².
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Looseness(Mean);

/// A beat refined by its strokes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct RefinedBeat {
    /// In seconds.
    pub at: f64,
    /// Its error as a standard deviation.
    pub sd: f64,
}

impl Strokes {
    /// The strokes near a beat `at` a moment. The first of the `hops` is at `first`, all in seconds.
    pub(super) fn near(hops: &[Hop], first: f64, at: f64, period: f64) -> Self {
        let reach = NEAR.min(NEAR_SHARE * period);
        let hop = |at: f64| whole((at / HOP_SECONDS).max(0.0));
        // Peaks are delayed, and each needs a hop on either side.
        let from = hop(at - reach - first).saturating_sub(1);
        let to = hop(at + reach + DELAY[0] - first) + 3;
        let near = hops.get(from..to.min(hops.len())).unwrap_or_default();
        let first = first + real(from) * HOP_SECONDS;
        let mut parts = [None; PARTS];
        for ((part, found), delay) in parts.iter_mut().enumerate().zip(DELAY) {
            let flux = |hop: &Hop| {
                f64::from(hop.0.get(part).map_or(0, |value| value.saturating_sub(1))) / 16.0
            };
            let mut most = 0.0;
            for (number, three) in near.windows(3).enumerate() {
                let [before, here, after] = three else { continue };
                let (before, here, after) = (flux(before), flux(here), flux(after));
                if here < STROKE || here < before || here <= after {
                    continue;
                }
                // The peak of the parabola through three values.
                let between = (before - after) / (2.0 * (before - 2.0 * here + after));
                let stroke = first + (real(number + 1) + between) * HOP_SECONDS - delay;
                let off = (stroke - at) / reach;
                let strength = here.min(LOUD) * (-1.4 * off * off).exp();
                if off.abs() < 1.0 && strength > most {
                    (*found, most) = (Some(stroke), strength);
                }
            }
        }
        if parts[PARTS - 1].is_none() {
            parts.iter_mut().flatten().for_each(|stroke| *stroke -= BASS_DELAY);
        }
        Self(parts)
    }

    /// Refines a beat that the path puts `at` a moment: the weighted mean of its strokes and the path.
    pub(super) fn beat(&self, at: f64, looseness: &Looseness) -> RefinedBeat {
        let of_stroke = looseness.sd().powi(-2);
        let of_path = PATH_SD.powi(-2);
        let (mut sum, mut weight) = (at * of_path, of_path);
        for stroke in self.0.iter().flatten() {
            sum += stroke * of_stroke;
            weight += of_stroke;
        }
        RefinedBeat { at: sum / weight, sd: weight.sqrt().recip() }
    }
}

impl Looseness {
    /// Adds the strokes of a beat; those of `beats` beats ago have a third of their weight.
    pub(super) fn add(&mut self, strokes: &Strokes, beats: f32) {
        let [low, middle, high] = strokes.0;
        for (one, other) in [(low, middle), (low, high), (middle, high)] {
            if let (Some(one), Some(other)) = (one, other) {
                // In ms, so that the squares are not too small for single precision.
                let apart = (one - other) * 1e3;
                self.0.add(single(apart * apart / 2.0), beats);
            }
        }
    }

    /// The standard deviation of a stroke, in seconds.
    fn sd(&self) -> f64 {
        (SD_RATIO * f64::from(self.0.get()).sqrt() / 1e3).max(MIN_SD)
    }
}
