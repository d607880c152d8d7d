//! Transposing instruments.

use super::interval::Interval;

/// The transposition of an instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum InstrumentPitch {
    /// It sounds as written.
    #[default]
    Concert,
    /// Written a major second above: trumpet, clarinet, soprano saxophone.
    BFlat,
    /// Written a major ninth above: tenor saxophone.
    LowBFlat,
    /// Written a major sixth above: alto saxophone.
    EFlat,
    /// Written an octave and a major sixth above: baritone saxophone.
    LowEFlat,
    /// Written a fifth above: horn.
    F,
    /// Written an octave above: guitar, double bass.
    OctaveUp,
    /// Written an octave below: piccolo.
    OctaveDown,
}

impl InstrumentPitch {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Concert,
        Self::BFlat,
        Self::LowBFlat,
        Self::EFlat,
        Self::LowEFlat,
        Self::F,
        Self::OctaveUp,
        Self::OctaveDown,
    ];

    /// Its id in options and saved files, which never changes.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Concert => "concert",
            Self::BFlat => "b-flat",
            Self::LowBFlat => "low-b-flat",
            Self::EFlat => "e-flat",
            Self::LowEFlat => "low-e-flat",
            Self::F => "f",
            Self::OctaveUp => "octave-up",
            Self::OctaveDown => "octave-down",
        }
    }

    /// The one with this id.
    #[must_use]
    pub fn of_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|pitch| pitch.id() == id)
    }

    /// Its name, with an example.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Concert => "Concert pitch",
            Self::BFlat => "B♭ (trumpet)",
            Self::LowBFlat => "B♭ (tenor)",
            Self::EFlat => "E♭ (alto)",
            Self::LowEFlat => "E♭ (baritone)",
            Self::F => "F (horn)",
            Self::OctaveUp => "Octave up (guitar)",
            Self::OctaveDown => "Octave down (piccolo)",
        }
    }

    /// The interval from concert pitch to written pitch.
    #[must_use]
    pub fn interval(self) -> Interval {
        match self {
            Self::Concert => Interval::CONCERT,
            Self::BFlat => Interval::B_FLAT,
            Self::LowBFlat => Interval::LOW_B_FLAT,
            Self::EFlat => Interval::E_FLAT,
            Self::LowEFlat => Interval::LOW_E_FLAT,
            Self::F => Interval::F,
            Self::OctaveUp => Interval::OCTAVE_UP,
            Self::OctaveDown => Interval::OCTAVE_DOWN,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_found_by_its_id() {
        for pitch in InstrumentPitch::ALL {
            assert_eq!(InstrumentPitch::of_id(pitch.id()), Some(pitch));
        }
        assert_eq!(InstrumentPitch::of_id("g"), None);
    }
}
