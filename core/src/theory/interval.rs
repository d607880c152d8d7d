//! Intervals by name, and the transposition of written notes and key signatures.
//!
//! A note moves by staff steps and by semitones, so that the spelling stays right: a major second above F♯ is
//! G♯ and not A♭.

use super::key::KeySignature;
use super::name::{SpelledPitch, Step};

/// An interval in staff steps and semitones, both negative downwards.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub struct Interval {
    /// Staff steps: a third is 2.
    pub steps: i8,
    /// Semitones: a major third is 4.
    pub semitones: i8,
}

/// From concert pitch to written pitch.
impl Interval {
    /// None: concert pitch.
    pub const CONCERT: Self = Self { steps: 0, semitones: 0 };
    /// In B flat, as a trumpet, a clarinet or a soprano saxophone: a major second up.
    pub const B_FLAT: Self = Self { steps: 1, semitones: 2 };
    /// In B flat an octave lower, as a tenor saxophone: a major ninth up.
    pub const LOW_B_FLAT: Self = Self { steps: 8, semitones: 14 };
    /// In E flat, as an alto saxophone: a major sixth up.
    pub const E_FLAT: Self = Self { steps: 5, semitones: 9 };
    /// In E flat an octave lower, as a baritone saxophone: an octave and a major sixth up.
    pub const LOW_E_FLAT: Self = Self { steps: 12, semitones: 21 };
    /// In F, as a French horn: a fifth up.
    pub const F: Self = Self { steps: 4, semitones: 7 };
    /// Written an octave above its sound, as for a guitar or a double bass.
    pub const OCTAVE_UP: Self = Self { steps: 7, semitones: 12 };
    /// Written an octave below its sound, as for a piccolo.
    pub const OCTAVE_DOWN: Self = Self { steps: -7, semitones: -12 };

    /// Its distance on the line of fifths.
    fn fifths(self) -> i16 {
        i16::from(self.semitones) * 7 - i16::from(self.steps) * 12
    }

    /// The written key signature for one at concert pitch, and the interval by which its notes move. A
    /// signature beyond six sharps or flats is replaced by its enharmonic equivalent, and the interval changes
    /// by a step: B major for an instrument in B flat is written in D♭.
    pub fn read(self, concert: KeySignature) -> (KeySignature, Self) {
        let mut fifths = i16::from(concert.fifths()) + self.fifths();
        let mut interval = self;
        // At concert pitch seven sharps are the user's choice.
        let max = if self.fifths() == 0 { 7 } else { 6 };
        while fifths > max {
            (fifths, interval.steps) = (fifths - 12, interval.steps.saturating_add(1));
        }
        while fifths < -max {
            (fifths, interval.steps) = (fifths + 12, interval.steps.saturating_sub(1));
        }
        (KeySignature::nearest(fifths), interval)
    }
}

impl SpelledPitch {
    /// This note moved by an interval. Its pitch moves by exactly the semitones; its letter by the steps, or by a
    /// step or two more if that would need three accidentals.
    #[must_use]
    pub fn transposed(self, interval: Interval) -> Self {
        let sound = i32::from(self.midi()) + i32::from(interval.semitones);
        let mut place = i32::from(self.staff_step()) + i32::from(interval.steps);
        loop {
            let step = Step::of(place);
            let octave = place.div_euclid(7);
            let alter = sound - (octave + 1) * 12 - i32::from(step.semitones());
            if alter.abs() > 2 {
                place += alter.signum();
                continue;
            }
            let alter = i8::try_from(alter).unwrap_or_default();
            let octave = octave.clamp(i8::MIN.into(), i8::MAX.into());
            return Self { step, alter, octave: i8::try_from(octave).unwrap_or_default() };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::name::PitchName;
    use crate::theory::pitch::PitchClass;
    use proptest::prelude::*;

    fn written(key: u8, near: i8, interval: Interval) -> String {
        let name = PitchName::nearest(PitchClass::of(key), near);
        name.on(key).transposed(interval).to_string()
    }

    /// By hand.
    #[test]
    fn concert_notes_as_written_for_players() {
        assert_eq!(written(58, 0, Interval::B_FLAT), "C4");
        assert_eq!(written(58, 0, Interval::LOW_B_FLAT), "C5");
        assert_eq!(written(66, 5, Interval::B_FLAT), "G♯4");
        assert_eq!(written(66, -5, Interval::B_FLAT), "A♭4");
        assert_eq!(written(63, 0, Interval::E_FLAT), "C5");
        assert_eq!(written(51, 0, Interval::LOW_E_FLAT), "C5");
        assert_eq!(written(65, 0, Interval::F), "C5");
        assert_eq!(written(71, 5, Interval::F), "F♯5");
        assert_eq!(written(40, 0, Interval::OCTAVE_UP), "E3");
        assert_eq!(written(108, 0, Interval::OCTAVE_DOWN), "C7");
        // G double sharp and a major third: B triple sharp is written C double sharp.
        let note = SpelledPitch { step: Step::G, alter: 2, octave: 4 };
        assert_eq!(note.transposed(Interval { steps: 2, semitones: 4 }).to_string(), "B♯♯4");
        assert_eq!(note.transposed(Interval { steps: 2, semitones: 5 }).to_string(), "C♯♯5");
    }

    /// By hand.
    #[test]
    fn signatures_as_written_for_players() {
        let read = |fifths, interval: Interval| {
            let (signature, by) = interval.read(KeySignature::nearest(fifths));
            (signature.fifths(), by)
        };
        assert_eq!(read(-2, Interval::B_FLAT), (0, Interval::B_FLAT));
        assert_eq!(read(-2, Interval::LOW_B_FLAT), (0, Interval::LOW_B_FLAT));
        assert_eq!(read(0, Interval::E_FLAT), (3, Interval::E_FLAT));
        assert_eq!(read(-1, Interval::F), (0, Interval::F));
        assert_eq!(read(7, Interval::OCTAVE_UP), (7, Interval::OCTAVE_UP));
        assert_eq!(read(-7, Interval::CONCERT), (-7, Interval::CONCERT));
        // B major is written in D flat rather than in C sharp, and its F sharp as A flat.
        let diminished_third = Interval { steps: 2, semitones: 2 };
        assert_eq!(read(5, Interval::B_FLAT), (-5, diminished_third));
        assert_eq!(written(66, 5, diminished_third), "A♭4");
    }

    proptest! {
        #[test]
        fn pitch_moves_by_the_semitones(
            key in 0_u8..128, near in -20_i8..20, steps in -8_i8..13, semitones in -14_i8..22,
        ) {
            let note = PitchName::nearest(PitchClass::of(key), near).on(key);
            let moved = note.transposed(Interval { steps, semitones });
            prop_assert_eq!(moved.midi(), i16::from(key) + i16::from(semitones));
            prop_assert!(moved.alter.abs() <= 2);
        }

        #[test]
        fn a_signature_and_its_notes_move_together(
            fifths in -7_i16..=7, degree in -1_i8..=5, octave in 1_u8..8,
            interval in prop::sample::select(vec![
                Interval::CONCERT, Interval::B_FLAT, Interval::LOW_B_FLAT, Interval::E_FLAT,
                Interval::LOW_E_FLAT, Interval::F, Interval::OCTAVE_UP, Interval::OCTAVE_DOWN,
            ]),
        ) {
            let concert = KeySignature::nearest(fifths);
            let (signature, by) = interval.read(concert);
            prop_assert!(signature.fifths().abs() <= 7);
            prop_assert_eq!(by.semitones, interval.semitones);
            // A note of the scale keeps its degree.
            let name = PitchName::at_fifths(concert.fifths() + degree);
            let moved = name.on(name.class().number() + 12 * octave).transposed(by);
            prop_assert_eq!(moved.name(), PitchName::at_fifths(signature.fifths() + degree));
        }

        #[test]
        fn no_input_is_refused(
            step in 0..7, alter: i8, octave: i8, steps: i8, semitones: i8, fifths: i16,
        ) {
            let interval = Interval { steps, semitones };
            let note = SpelledPitch { step: Step::of(step), alter, octave }.transposed(interval);
            prop_assert!(note.alter.abs() <= 2);
            interval.read(KeySignature::nearest(fifths));
        }
    }
}
