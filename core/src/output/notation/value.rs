//! Notated time: ticks, note values and tuplets.

use crate::time::BeatSpan;

/// Ticks per quarter note. Every subdivision of every pulse is a whole number of ticks: a sixth of a
/// sixty-fourth is two.
pub const QUARTER: u32 = 192;

/// The ticks of a whole note.
const WHOLE: u32 = 4 * QUARTER;

/// A length in ticks, rounded; 0 for an invalid length.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates, and a bar is at most 64 whole notes"
)]
pub(super) fn ticks(span: BeatSpan) -> u32 {
    (span.0 * f64::from(QUARTER)).round() as u32
}

/// A note value, without dots.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Value {
    /// Two whole notes.
    Breve,
    /// A whole note.
    Whole,
    /// A half note.
    Half,
    /// A quarter note.
    Quarter,
    /// An eighth note.
    Eighth,
    /// A sixteenth note.
    Sixteenth,
    /// A thirty-second note.
    ThirtySecond,
    /// A sixty-fourth note.
    SixtyFourth,
    /// A hundred and twenty-eighth note.
    HundredTwentyEighth,
    /// A two hundred and fifty-sixth note.
    TwoHundredFiftySixth,
}

impl Value {
    /// All values, longest first.
    pub const ALL: [Self; 10] = [
        Self::Breve,
        Self::Whole,
        Self::Half,
        Self::Quarter,
        Self::Eighth,
        Self::Sixteenth,
        Self::ThirtySecond,
        Self::SixtyFourth,
        Self::HundredTwentyEighth,
        Self::TwoHundredFiftySixth,
    ];

    /// Its length in ticks.
    pub fn ticks(self) -> u32 {
        match self {
            Self::Breve => 2 * WHOLE,
            Self::Whole => WHOLE,
            Self::Half => WHOLE / 2,
            Self::Quarter => WHOLE / 4,
            Self::Eighth => WHOLE / 8,
            Self::Sixteenth => WHOLE / 16,
            Self::ThirtySecond => WHOLE / 32,
            Self::SixtyFourth => WHOLE / 64,
            Self::HundredTwentyEighth => WHOLE / 128,
            Self::TwoHundredFiftySixth => WHOLE / 256,
        }
    }

    /// Its number of flags or beams.
    pub fn flags(self) -> u8 {
        match self {
            Self::Breve | Self::Whole | Self::Half | Self::Quarter => 0,
            Self::Eighth => 1,
            Self::Sixteenth => 2,
            Self::ThirtySecond => 3,
            Self::SixtyFourth => 4,
            Self::HundredTwentyEighth => 5,
            Self::TwoHundredFiftySixth => 6,
        }
    }

    /// The value of a length in ticks, and whether it has a dot; `None` if it takes more than one note.
    pub fn of(length: u32) -> Option<(Self, bool)> {
        let plain = |value: &Self| value.ticks() == length;
        let dotted = |value: &Self| 3 * value.ticks() == 2 * length;
        let found = Self::ALL.into_iter().find(plain).map(|value| (value, false));
        found.or_else(|| Self::ALL.into_iter().find(dotted).map(|value| (value, true)))
    }
}

/// The ratio of a tuplet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ratio {
    /// Notes of the tuplet: 3 in a triplet.
    pub actual: u32,
    /// Notes of the same value in whose time they are played: 2 in a triplet.
    pub normal: u32,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_of_single_notes() {
        for (length, found) in [
            (192, Some((Value::Quarter, false))),
            (288, Some((Value::Quarter, true))),
            (96, Some((Value::Eighth, false))),
            (144, Some((Value::Eighth, true))),
            (1536, Some((Value::Breve, false))),
            (240, None),
            (5, None),
            (0, None),
        ] {
            assert_eq!(Value::of(length), found, "{length}");
        }
    }
}
