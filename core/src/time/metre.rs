//! Time signatures and their pulse.
//!
//! A *written beat* is the unit of the lower figure, a *pulse* the felt beat. They differ in compound
//! metres: 6/8 has six written beats and two pulses of a dotted quarter.

use crate::time::BeatSpan;
use serde::{Deserialize, Serialize};

/// A supported time signature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "(i32, i32)", into = "(i32, i32)")]
pub struct Metre {
    numerator: u8,
    denominator: u8,
}

/// How a pulse divides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Division {
    /// In two: simple metres.
    Two,
    /// In three: compound metres.
    Three,
}

impl Metre {
    /// 4/4: the default of Standard MIDI Files (RP-001), and of hosts that give no signature.
    pub const COMMON: Self = Self { numerator: 4, denominator: 4 };

    /// `numerator` from 1 to 64 over a power of two from 1 to 64; else `None`.
    pub fn new(numerator: i32, denominator: i32) -> Option<Self> {
        let numerator = u8::try_from(numerator).ok().filter(|n| (1..=64).contains(n))?;
        let denominator = u8::try_from(denominator)
            .ok()
            .filter(|d| (1..=64).contains(d) && d.is_power_of_two())?;
        Some(Self { numerator, denominator })
    }

    /// The upper figure.
    pub fn numerator(self) -> u8 {
        self.numerator
    }

    /// The lower figure.
    pub fn denominator(self) -> u8 {
        self.denominator
    }

    /// Length of a written beat: the note value of the lower figure.
    pub fn written_beat(self) -> BeatSpan {
        BeatSpan(4.0 / f64::from(self.denominator))
    }

    /// Length of a bar.
    pub fn bar(self) -> BeatSpan {
        BeatSpan(f64::from(self.numerator) * self.written_beat().0)
    }

    /// How the pulse divides: in three if the upper figure is 6, 9, 12 … (common practice of notation;
    /// equal to `beatCount` in music21).
    pub fn division(self) -> Division {
        if self.numerator > 3 && self.numerator.is_multiple_of(3) {
            Division::Three
        } else {
            Division::Two
        }
    }

    /// Length of a pulse: three written beats in compound metres, else one.
    pub fn pulse(self) -> BeatSpan {
        match self.division() {
            Division::Two => self.written_beat(),
            Division::Three => BeatSpan(3.0 * self.written_beat().0),
        }
    }

    /// Pulses in a bar.
    pub fn pulses(self) -> u8 {
        match self.division() {
            Division::Two => self.numerator,
            Division::Three => self.numerator / 3,
        }
    }
}

impl TryFrom<(i32, i32)> for Metre {
    type Error = &'static str;
    fn try_from((numerator, denominator): (i32, i32)) -> Result<Self, Self::Error> {
        Self::new(numerator, denominator).ok_or("not a time signature that can be counted in")
    }
}

impl From<Metre> for (i32, i32) {
    fn from(metre: Metre) -> Self {
        (metre.numerator.into(), metre.denominator.into())
    }
}

impl core::str::FromStr for Metre {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let read = || {
            let (upper, lower) = text.split_once('/')?;
            Self::new(upper.trim().parse().ok()?, lower.trim().parse().ok()?)
        };
        read().ok_or("not a time signature like 4/4 or 6/8")
    }
}

impl core::fmt::Display for Metre {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{}/{}", self.numerator, self.denominator)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source of the pulse counts: music21 `TimeSignature.beatCount`, run over these metres.
    #[test]
    fn the_felt_pulse_of_each_metre() {
        for (n, d, pulses, pulse, bar) in [
            (4, 4, 4, 1.0, 4.0),
            (3, 4, 3, 1.0, 3.0),
            (2, 4, 2, 1.0, 2.0),
            (2, 2, 2, 2.0, 4.0),
            (6, 8, 2, 1.5, 3.0),
            (9, 8, 3, 1.5, 4.5),
            (12, 8, 4, 1.5, 6.0),
            (5, 4, 5, 1.0, 5.0),
            (7, 4, 7, 1.0, 7.0),
            (5, 8, 5, 0.5, 2.5),
            (7, 8, 7, 0.5, 3.5),
        ] {
            let metre = Metre::new(n, d).unwrap();
            assert_eq!(metre.pulses(), pulses, "{metre}");
            assert_eq!(metre.pulse(), BeatSpan(pulse), "{metre}");
            assert_eq!(metre.bar(), BeatSpan(bar), "{metre}");
        }
    }

    #[test]
    fn signatures_that_cannot_be_counted_in_are_refused() {
        for (n, d) in
            [(0, 4), (-1, 4), (65, 4), (4, 0), (4, 3), (4, 128), (4, -4), (i32::MAX, i32::MIN)]
        {
            assert_eq!(Metre::new(n, d), None, "{n}/{d}");
        }
    }
}
