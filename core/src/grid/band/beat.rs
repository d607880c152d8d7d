//! A beat as the band tells it, and beats that somebody told.

use crate::grid::PulseNumber;
use crate::time::{Second, SecondSpan};

/// How sure a beat is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sureness {
    /// The band plays, and it fits.
    Sure,
    /// Nothing was heard that tells it: it is where the tempo so far puts it.
    Bridged,
    /// The band plays, but it may be another beat of the bar.
    CountInDoubt,
}

/// A beat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandBeat {
    /// Which it is: beat one after the count-in is 0.
    pub pulse: PulseNumber,
    /// When, on the sound's clock.
    pub at: Second,
    /// How long a beat is there.
    pub period: SecondSpan,
    /// Which beat of the bar it is, from 1.
    pub in_bar: u32,
    /// How sure it is.
    pub sureness: Sureness,
}

/// A beat that is told: the truth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToldBeat {
    /// When, on the sound's clock.
    pub at: Second,
    /// Which beat it is; `None` for a tap, which is the beat it is nearest to.
    pub pulse: Option<PulseNumber>,
}
