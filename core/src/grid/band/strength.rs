//! How strong onsets were along a band's take, for the eye: where a grid lies beside the music, it shows.

use super::hearing::{HOP_SECONDS, Hop, PARTS};
use super::{real, single};
use crate::time::{Second, SecondSpan};

/// Hops to a value. Origin: 20 ms are some two points of a window where a row has eight seconds.
const HOPS: usize = 4;

/// The mean of the last seconds is no onset, and so many times the mean is the strongest. Origin: own choice; drums
/// reach it, a bass alone seldom does.
const STRONGEST: f32 = 6.0;

/// See the module.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OnsetStrength {
    first: Second,
    /// From 0 to 255.
    values: Vec<u8>,
}

impl OnsetStrength {
    /// Of hops of which the first is at `first_hop`.
    #[must_use]
    pub fn of(first_hop: Second, hops: &[Hop]) -> Self {
        Self { first: first_hop, values: hops.chunks(HOPS).map(strongest).collect() }
    }

    /// The same on a clock that says `to` when its own says `from`.
    #[must_use]
    pub fn moved(mut self, from: Second, to: Second) -> Self {
        self.first = self.first + (to - from);
        self
    }

    /// When the first value is.
    #[must_use]
    pub fn first(&self) -> Second {
        self.first
    }

    /// How long a value lasts.
    #[must_use]
    pub fn step() -> SecondSpan {
        SecondSpan(HOP_SECONDS * f64::from(real(HOPS)))
    }

    /// When each value from one moment to another begins, and how strong it is, from 0 to 1.
    pub fn between(&self, from: Second, to: Second) -> impl Iterator<Item = (Second, f32)> {
        let step = Self::step().0;
        let place = |at: Second| super::whole(((at - self.first).0 / step).ceil());
        let (first, last) = (place(from), place(to).min(self.values.len()));
        let begins = self.first;
        let values = self.values.get(first..last).unwrap_or_default();
        (first..last).zip(values).map(move |(place, value)| {
            let at = begins + SecondSpan(crate::stats::real(place) * step);
            (at, f32::from(*value) / 255.0)
        })
    }
}

/// The strongest of some hops: the mean of the parts of its spectrum.
fn strongest(hops: &[Hop]) -> u8 {
    let sum = |hop: &Hop| hop.0.iter().map(|part| u32::from(part.saturating_sub(1))).sum::<u32>();
    let most = hops.iter().map(sum).max().unwrap_or(0);
    // Of 16ths.
    let times = single(f64::from(most)) / 16.0 / real(PARTS);
    let share = ((times - 1.0) / (STRONGEST - 1.0)).clamp(0.0, 1.0) * 255.0;
    u8::try_from(super::whole(f64::from(share))).unwrap_or(255)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_onset_stands_where_it_was() {
        let mut hops = vec![Hop([17; PARTS]); 400];
        hops[200] = Hop([16 * 6 + 1; PARTS]);
        let strength = OnsetStrength::of(Second(1.0), &hops).moved(Second(0.0), Second(2.0));
        let all: Vec<(Second, f32)> = strength.between(Second(0.0), Second(100.0)).collect();
        assert_eq!((all.len(), strength.first()), (100, Second(3.0)));
        let strong: Vec<Second> = all.iter().filter(|(_, s)| *s > 0.9).map(|(at, _)| *at).collect();
        assert_eq!(strong, [Second(4.0)]);
        assert!(all[0].1.abs() < 0.01, "the mean is none: {}", all[0].1);
        assert_eq!(strength.between(Second(3.1), Second(3.2)).count(), 5);
        assert_eq!(strength.between(Second(5.5), Second(4.0)).count(), 0);
        assert_eq!(OnsetStrength::default().between(Second(0.0), Second(9.0)).count(), 0);
    }
}
