//! Beats of the band, and beats known from taps or set by hand.

use crate::grid::PulseNumber;
use crate::time::{Second, SecondSpan};

/// Error of a known beat as a standard deviation, as a share of the beat: a tap is off by 3 to 5 % (Repp 2005).
pub(super) const KNOWN_SD: f32 = 0.05;

/// Error of the period at the first beat after a count-in, as a share of it. Origin: a count-in.
pub(super) const FIRST_PERIOD_SD: f64 = 0.05;

/// How sure a beat of the band is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BeatConfidence {
    /// The band plays, and the beat fits.
    Sure,
    /// The sound does not show it: it is extrapolated from the tempo so far.
    Bridged,
    /// The band plays, but this may be another beat of the bar.
    CountInDoubt,
}

/// A beat of the band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandBeat {
    /// Its number: beat one after the count-in is 0.
    pub pulse: PulseNumber,
    /// Its time on the sound's clock.
    pub at: Second,
    /// The beat period there.
    pub period: SecondSpan,
    /// Its beat of the bar, from 1.
    pub in_bar: u32,
    /// How sure it is.
    pub confidence: BeatConfidence,
}

/// A known beat: a tap or a beat set by hand. It is taken as true.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownBeat {
    /// Its time on the sound's clock.
    pub at: Second,
    /// Its number; `None` for a tap, which marks the nearest beat.
    pub pulse: Option<PulseNumber>,
}

/// The beat of the bar, from 0, in bars of `beats`.
pub(super) fn in_bar(pulse: PulseNumber, beats: usize) -> usize {
    let beats = i64::try_from(beats).unwrap_or(1);
    usize::try_from(pulse.0.rem_euclid(beats)).unwrap_or(0)
}
