//! Positions in the bar as drills name them: `1`, `4&`, `2e`, `2a`, `3t2`, `3t3`.

use crate::quantization::MetricalPosition;
use crate::quantization::PulseSubdivision;
use core::fmt;
use core::str::FromStr;

/// A position in any bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BarPosition {
    /// The pulse, from 1.
    pub pulse: u8,
    /// Its subdivision.
    pub subdivision: PulseSubdivision,
}

/// The suffixes of subdivisions. Origin: counting "1 e and a", and a triplet's second and third note.
const SUFFIXES: [(&str, PulseSubdivision); 6] = [
    ("", PulseSubdivision::On),
    ("&", PulseSubdivision::Half),
    ("e", PulseSubdivision::Quarter),
    ("a", PulseSubdivision::ThreeQuarters),
    ("t2", PulseSubdivision::Third),
    ("t3", PulseSubdivision::TwoThirds),
];

impl BarPosition {
    /// Whether a note was quantized to this position.
    pub fn is(&self, position: &MetricalPosition) -> bool {
        (self.pulse, self.subdivision) == (position.pulse, position.subdivision)
    }

    /// The notated position, in pulses from the bar line.
    pub fn pulses(&self) -> f64 {
        f64::from(self.pulse) - 1.0 + self.subdivision.share().unwrap_or(0.0)
    }
}

impl fmt::Display for BarPosition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let known = SUFFIXES.iter().find(|(_, subdivision)| *subdivision == self.subdivision);
        write!(f, "{}{}", self.pulse, known.map_or("?", |(suffix, _)| suffix))
    }
}

impl FromStr for BarPosition {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let text = text.trim();
        let digits = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
        let (pulse, suffix) = text.split_at(digits);
        let pulse = pulse.parse().ok().filter(|pulse| (1..=64).contains(pulse));
        match (pulse, SUFFIXES.iter().find(|(known, _)| *known == suffix.trim())) {
            (Some(pulse), Some((_, subdivision))) => Ok(Self { pulse, subdivision: *subdivision }),
            _ => Err(format!("\"{text}\" is not a position; write 1, 4&, 2e, 2a, 3t2 or 3t3")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_position_is_parsed_from_its_name() {
        for pulse in [1, 4, 12] {
            for (_, subdivision) in SUFFIXES {
                let position = BarPosition { pulse, subdivision };
                assert_eq!(position.to_string().parse(), Ok(position));
            }
        }
        assert_eq!("4&".parse(), Ok(BarPosition { pulse: 4, subdivision: PulseSubdivision::Half }));
        for wrong in ["", "&", "0", "65", "4x", "&4", "-1", "1.5", "4 & 1"] {
            assert!(wrong.parse::<BarPosition>().is_err(), "{wrong}");
        }
    }
}
