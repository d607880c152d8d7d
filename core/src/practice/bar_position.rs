//! Places of the bar as a drill names them: `1`, `4&`, `2e`, `2a`, `3t2`, `3t3`.

use crate::quantization::MetricalPosition;
use crate::quantization::PulseSubdivision;
use core::fmt;
use core::str::FromStr;

/// A place in any bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BarPosition {
    /// The pulse, from 1.
    pub pulse: u8,
    /// The spot within it.
    pub subdivision: PulseSubdivision,
}

/// The slots a drill can ask for: sign, slot, and where in the pulse it lies as notated. Origin of
/// the signs: counting "1 e and a", and a triplet's second and third note.
pub(super) const SLOTS: [(&str, PulseSubdivision, f64); 6] = [
    ("", PulseSubdivision::On, 0.0),
    ("&", PulseSubdivision::Half, 0.5),
    ("e", PulseSubdivision::Quarter, 0.25),
    ("a", PulseSubdivision::ThreeQuarters, 0.75),
    ("t2", PulseSubdivision::Third, 1.0 / 3.0),
    ("t3", PulseSubdivision::TwoThirds, 2.0 / 3.0),
];

impl BarPosition {
    /// Whether a note was read as standing here.
    #[must_use]
    pub fn is(&self, place: &MetricalPosition) -> bool {
        (self.pulse, self.subdivision) == (place.pulse, place.subdivision)
    }

    /// Where it lies as notated, in pulses from the bar line, which is 0.
    #[must_use]
    pub fn pulses(&self) -> f64 {
        let inside =
            SLOTS.iter().find(|(_, slot, _)| *slot == self.subdivision).map_or(0.0, |(.., at)| *at);
        f64::from(self.pulse) - 1.0 + inside
    }
}

impl fmt::Display for BarPosition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = SLOTS
            .iter()
            .find(|(_, slot, _)| *slot == self.subdivision)
            .map_or("?", |(sign, ..)| sign);
        write!(f, "{}{sign}", self.pulse)
    }
}

impl FromStr for BarPosition {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let text = text.trim();
        let digits = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
        let (pulse, sign) = text.split_at(digits);
        let pulse = pulse.parse().ok().filter(|pulse| (1..=64).contains(pulse));
        let subdivision = SLOTS
            .iter()
            .find(|(known, ..)| *known == sign.trim())
            .map(|(_, subdivision, _)| *subdivision);
        match (pulse, subdivision) {
            (Some(pulse), Some(subdivision)) => Ok(Self { pulse, subdivision }),
            _ => Err(format!("\"{text}\" is no place; places are like 1, 4&, 2e, 2a, 3t2 or 3t3")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_place_comes_back_from_its_name() {
        for pulse in [1, 4, 12] {
            for (_, slot, _) in SLOTS {
                let spot = BarPosition { pulse, subdivision: slot };
                assert_eq!(spot.to_string().parse(), Ok(spot));
            }
        }
        assert_eq!("4&".parse(), Ok(BarPosition { pulse: 4, subdivision: PulseSubdivision::Half }));
        for wrong in ["", "&", "0", "65", "4x", "&4", "-1", "1.5", "4 & 1"] {
            assert!(wrong.parse::<BarPosition>().is_err(), "{wrong}");
        }
    }
}
