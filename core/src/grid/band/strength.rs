//! The onset strength over a band's take, to be drawn beside the grid: it shows where a grid is off.

use super::hearing::{HOP_SECONDS, Hop, PARTS};
use super::{real, single};
use crate::time::{Second, SecondSpan};

/// Hops per value. Origin: 20 ms are about two points in a window with eight seconds per row.
const HOPS: usize = 4;

/// The flux, relative to its mean, that is drawn as the strongest; the mean itself is drawn as none. Origin: own
/// choice; drums reach it, a bass alone seldom does.
const STRONGEST: f32 = 6.0;

/// The onset strength over a band's take.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OnsetStrength {
    first: Second,
    /// From 0 to 255.
    values: Vec<u8>,
}

impl OnsetStrength {
    /// From hops, the first of which is at `first_hop`.
    #[must_use]
    pub fn of(first_hop: Second, hops: &[Hop]) -> Self {
        Self { first: first_hop, values: hops.chunks(HOPS).map(strongest).collect() }
    }

    /// Converts to a clock that reads `to` when the current one reads `from`.
    #[must_use]
    pub fn moved(mut self, from: Second, to: Second) -> Self {
        self.first = self.first + (to - from);
        self
    }

    /// The time of the first value.
    #[must_use]
    pub fn first(&self) -> Second {
        self.first
    }

    /// The duration of a value.
    #[must_use]
    pub fn step() -> SecondSpan {
        SecondSpan(HOP_SECONDS * f64::from(real(HOPS)))
    }

    /// The start and strength, from 0 to 1, of each value between two moments.
    pub fn between(&self, from: Second, to: Second) -> impl Iterator<Item = (Second, f32)> {
        let step = Self::step().0;
        let index = |at: Second| super::whole(((at - self.first).0 / step).ceil());
        let (first, last) = (index(from), index(to).min(self.values.len()));
        let start = self.first;
        let values = self.values.get(first..last).unwrap_or_default();
        (first..last).zip(values).map(move |(index, value)| {
            let at = start + SecondSpan(crate::stats::real(index) * step);
            (at, f32::from(*value) / 255.0)
        })
    }
}

/// The strongest of these hops, by the mean over the parts of its spectrum.
fn strongest(hops: &[Hop]) -> u8 {
    let sum = |hop: &Hop| hop.0.iter().map(|part| u32::from(part.saturating_sub(1))).sum::<u32>();
    let most = hops.iter().map(sum).max().unwrap_or(0);
    // From 16ths.
    let times = single(f64::from(most)) / 16.0 / real(PARTS);
    let share = ((times - 1.0) / (STRONGEST - 1.0)).clamp(0.0, 1.0) * 255.0;
    u8::try_from(super::whole(f64::from(share))).unwrap_or(255)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_onset_keeps_its_time() {
        let mut hops = vec![Hop([17; PARTS]); 400];
        hops[200] = Hop([16 * 6 + 1; PARTS]);
        let strength = OnsetStrength::of(Second(1.0), &hops).moved(Second(0.0), Second(2.0));
        let all: Vec<(Second, f32)> = strength.between(Second(0.0), Second(100.0)).collect();
        assert_eq!((all.len(), strength.first()), (100, Second(3.0)));
        let strong: Vec<Second> = all.iter().filter(|(_, s)| *s > 0.9).map(|(at, _)| *at).collect();
        assert_eq!(strong, [Second(4.0)]);
        assert!(all[0].1.abs() < 0.01, "the mean is no onset: {}", all[0].1);
        assert_eq!(strength.between(Second(3.1), Second(3.2)).count(), 5);
        assert_eq!(strength.between(Second(5.5), Second(4.0)).count(), 0);
        assert_eq!(OnsetStrength::default().between(Second(0.0), Second(9.0)).count(), 0);
    }
}
