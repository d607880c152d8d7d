//! Where the band starts: beat one, and the beat period.

use crate::grid::PULSE_SECONDS;
use crate::grid::anchors::Anchors;
use crate::grid::count_in::fit_even_taps;
use crate::time::metre::Metre;
use crate::time::{Second, SecondSpan};

/// Error of beat one as a standard deviation, as a share of a beat: after taps, and on a host's click. Origin of
/// the first: four taps within 5 % of a beat, extrapolated by one. Of the second: a drummer to a click.
const TAPPED_SD: f64 = 0.07;
const CLICK_SD: f64 = 0.04;

/// A count-in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandCountIn {
    /// The time of beat one of bar 1, on the sound's clock.
    pub one: Second,
    /// The period of a felt beat.
    pub period: SecondSpan,
    /// The metre, one throughout.
    pub metre: Metre,
    /// Error of beat one as a standard deviation, as a share of a beat.
    pub(super) sd: f64,
}

impl BandCountIn {
    /// Beat one at a moment, at a tempo; `None` if the tempo is out of range.
    #[must_use]
    pub fn at(one: Second, period: SecondSpan, metre: Metre) -> Option<Self> {
        let is_valid = one.0.is_finite() && PULSE_SECONDS.contains(&period.0);
        is_valid.then_some(Self { one, period, metre, sd: CLICK_SD })
    }

    /// A count-in of four taps on the beats before beat one; `None` if they are uneven.
    #[must_use]
    pub fn of_taps(taps: &[Second], metre: Metre) -> Option<Self> {
        let taps: Vec<f64> = taps.iter().map(|tap| tap.0).collect();
        let line = fit_even_taps(&taps)?;
        let (one, period) = (Second(line.last + line.period), SecondSpan(line.period));
        Some(Self { one, period, metre, sd: TAPPED_SD })
    }

    /// The count-in of followed taps: beat 0 comes after their fourth.
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
