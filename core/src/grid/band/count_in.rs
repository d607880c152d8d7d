//! Where the band starts: beat one, and how long a beat is.

use crate::grid::PULSE_SECONDS;
use crate::grid::anchors::Anchors;
use crate::grid::count_in::even_row;
use crate::time::metre::Metre;
use crate::time::{Second, SecondSpan};

/// How far beat one may be off, as a share of a beat, if it was counted in, and if it is exact. Origin of the
/// first: four taps within 5 % of a beat, carried on by one. Of the second: a drummer to a host's click.
const COUNTED: f64 = 0.07;
const EXACT: f64 = 0.04;

/// A count-in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandCountIn {
    /// When beat one of bar 1 is, on the sound's clock.
    pub one: Second,
    /// How long a felt beat is then.
    pub period: SecondSpan,
    /// The metre, one throughout.
    pub metre: Metre,
    /// How far beat one may be off, as a share of a beat.
    pub(super) off: f64,
}

impl BandCountIn {
    /// Beat one at a moment, at a tempo; `None` if nobody plays so slowly or so fast.
    #[must_use]
    pub fn at(one: Second, period: SecondSpan, metre: Metre) -> Option<Self> {
        let is_known = one.0.is_finite() && PULSE_SECONDS.contains(&period.0);
        is_known.then_some(Self { one, period, metre, off: EXACT })
    }

    /// Four even taps, the beat before beat one being the last; `None` if they are uneven.
    #[must_use]
    pub fn of_taps(taps: &[Second], metre: Metre) -> Option<Self> {
        let taps: Vec<f64> = taps.iter().map(|tap| tap.0).collect();
        let row = even_row(&taps)?;
        let (one, period) = (Second(row.last + row.period), SecondSpan(row.period));
        Some(Self { one, period, metre, off: COUNTED })
    }

    /// The first count-in of taps that were followed: beat 0 follows its fourth tap.
    #[must_use]
    pub fn of_anchors(anchors: &Anchors) -> Option<Self> {
        let taps: Vec<Second> = anchors.all().iter().take(4).map(|anchor| anchor.at).collect();
        Self::of_taps(&taps, anchors.metre())
    }

    /// Felt beats in a bar.
    pub(super) fn beats(&self) -> usize {
        usize::from(self.metre.pulses().max(1))
    }
}
