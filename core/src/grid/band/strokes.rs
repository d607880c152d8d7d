//! When the strokes nearest to a beat are, to a fraction of a hop, and how far they lie apart.

use super::hearing::{HOP_SECONDS, Hop, PARTS};
use super::mean::Mean;
use super::{single, whole};
use crate::stats::real;

/// Strokes of a beat lie this near to it, in seconds and as a share of the beat. Origin: fitted to rendered
/// bands whose strokes are off by 6 and by 25 ms.
const NEAR: f64 = 0.06;
const NEAR_SHARE: f64 = 0.15;

/// How late what is new peaks after its stroke, in seconds, by part of the spectrum; and by how much more where
/// no cymbal is heard and the stroke is the bass's. Origin: as above.
const LATE: [f64; PARTS] = [0.0045, 0.0015, 0.0005];
const BASS_LATE: f64 = 0.002;

/// A stroke is at least so much new, against the mean. Origin: as above.
const STROKE: f64 = 2.0;

/// What is louder than this is no more of a stroke. Origin: as above.
const LOUD: f64 = 6.0;

/// How far a stroke is off in any case, in seconds, as a standard deviation; and by how much more than strokes lie
/// apart, since both may be late. Origin: as above.
const OFF: f64 = 0.005;
const MORE: f64 = 1.2;

/// How far the beat of the way lies from the beat of the band, the same. Origin: as above.
const WAY_OFF: f64 = 0.025;

/// The newest hops that tell the strokes of a beat: 0.35 s.
pub(super) const RECENT: usize = 70;

/// The strokes of one beat, by part of the spectrum, in seconds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Strokes([Option<f64>; PARTS]);

/// How far strokes of the same beat lie apart, as a standard deviation of one: how loosely this band plays.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Looseness(Mean);

/// A beat by its strokes and by the way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Struck {
    /// In seconds.
    pub at: f64,
    /// How far it may be off, as a standard deviation.
    pub off: f64,
}

impl Strokes {
    /// Near a beat `at` a moment, in hops of which the first is at `first`, all in seconds.
    pub(super) fn near(hops: &[Hop], first: f64, at: f64, period: f64) -> Self {
        let reach = NEAR.min(NEAR_SHARE * period);
        let hop = |at: f64| whole((at / HOP_SECONDS).max(0.0));
        // The peaks come late, and each needs a hop on either side.
        let from = hop(at - reach - first).saturating_sub(1);
        let to = hop(at + reach + LATE[0] - first) + 3;
        let near = hops.get(from..to.min(hops.len())).unwrap_or_default();
        let first = first + real(from) * HOP_SECONDS;
        let mut parts = [None; PARTS];
        for ((part, found), late) in parts.iter_mut().enumerate().zip(LATE) {
            let new = |hop: &Hop| {
                f64::from(hop.0.get(part).map_or(0, |value| value.saturating_sub(1))) / 16.0
            };
            let mut most = 0.0;
            for (number, three) in near.windows(3).enumerate() {
                let [before, here, after] = three else { continue };
                let (before, here, after) = (new(before), new(here), new(after));
                if here < STROKE || here < before || here <= after {
                    continue;
                }
                // The top of the parabola through three values.
                let between = (before - after) / (2.0 * (before - 2.0 * here + after));
                let stroke = first + (real(number + 1) + between) * HOP_SECONDS - late;
                let off = (stroke - at) / reach;
                let strength = here.min(LOUD) * (-1.4 * off * off).exp();
                if off.abs() < 1.0 && strength > most {
                    (*found, most) = (Some(stroke), strength);
                }
            }
        }
        if parts[PARTS - 1].is_none() {
            parts.iter_mut().flatten().for_each(|stroke| *stroke -= BASS_LATE);
        }
        Self(parts)
    }

    /// The beat by these strokes and by a way that has it `at` a moment.
    pub(super) fn beat(&self, at: f64, looseness: &Looseness) -> Struck {
        let of_stroke = looseness.off().powi(-2);
        let of_way = WAY_OFF.powi(-2);
        let (mut sum, mut weight) = (at * of_way, of_way);
        for stroke in self.0.iter().flatten() {
            sum += stroke * of_stroke;
            weight += of_stroke;
        }
        Struck { at: sum / weight, off: weight.sqrt().recip() }
    }
}

impl Looseness {
    /// Takes in the strokes of a beat; those of so many beats ago count for a third.
    pub(super) fn add(&mut self, strokes: &Strokes, beats: f32) {
        let [low, middle, high] = strokes.0;
        for (one, other) in [(low, middle), (low, high), (middle, high)] {
            if let (Some(one), Some(other)) = (one, other) {
                // In ms, so that the squares are no small numbers.
                let apart = (one - other) * 1e3;
                self.0.add(single(apart * apart / 2.0), beats);
            }
        }
    }

    fn off(&self) -> f64 {
        (MORE * f64::from(self.0.get()).sqrt() / 1e3).max(OFF)
    }
}
