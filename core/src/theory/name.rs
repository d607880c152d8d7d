//! Note names: a letter, an accidental and an octave.
//!
//! Octaves are numbered as in scientific pitch notation: middle C, key 60, is C4, and the octave belongs to the
//! letter, so C♭4 is key 59. The *line of fifths* counts names in fifths from C: F is −1, G is 1, B♭ is −2,
//! F♯ is 6 (Temperley 2001, *The Cognition of Basic Musical Structures*, ch. 5).

use super::pitch::PitchClass;
use std::fmt;

/// A letter, which is a line or space of the staff.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// C.
    C,
    /// D.
    D,
    /// E.
    E,
    /// F.
    F,
    /// G.
    G,
    /// A.
    A,
    /// B.
    B,
}

impl Step {
    /// All, from C up.
    pub const ALL: [Self; 7] = [Self::C, Self::D, Self::E, Self::F, Self::G, Self::A, Self::B];

    /// Steps above C, from 0 to 6.
    pub fn number(self) -> i8 {
        match self {
            Self::C => 0,
            Self::D => 1,
            Self::E => 2,
            Self::F => 3,
            Self::G => 4,
            Self::A => 5,
            Self::B => 6,
        }
    }

    /// Semitones above C, from 0 to 11, without an accidental.
    pub fn semitones(self) -> i8 {
        match self {
            Self::C => 0,
            Self::D => 2,
            Self::E => 4,
            Self::F => 5,
            Self::G => 7,
            Self::A => 9,
            Self::B => 11,
        }
    }

    /// The letter in capitals.
    pub fn letter(self) -> char {
        match self {
            Self::C => 'C',
            Self::D => 'D',
            Self::E => 'E',
            Self::F => 'F',
            Self::G => 'G',
            Self::A => 'A',
            Self::B => 'B',
        }
    }

    /// The letter this many steps above C, in any octave.
    pub fn of(number: i32) -> Self {
        match number.rem_euclid(7) {
            0 => Self::C,
            1 => Self::D,
            2 => Self::E,
            3 => Self::F,
            4 => Self::G,
            5 => Self::A,
            _ => Self::B,
        }
    }

    /// Its position on the line of fifths, from −1 for F to 5 for B.
    fn fifths(self) -> i8 {
        (self.number() * 2 + 1).rem_euclid(7) - 1
    }
}

/// A name without an octave.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct PitchName {
    /// The letter.
    pub step: Step,
    /// Semitones by which accidentals raise it; from −2 to 2, as everything here makes it.
    pub alter: i8,
}

/// The line of fifths with up to two accidentals: from F double flat to B double sharp.
pub(super) const LINE_OF_FIFTHS: std::ops::RangeInclusive<i8> = -15..=19;

impl PitchName {
    /// The name at a position on the line of fifths. One that would need three accidentals is replaced by the
    /// nearest enharmonic equivalent that does not.
    pub fn at_fifths(place: i8) -> Self {
        let (mut place, least, greatest) = (
            i32::from(place),
            i32::from(*LINE_OF_FIFTHS.start()),
            i32::from(*LINE_OF_FIFTHS.end()),
        );
        while place < least {
            place += 12;
        }
        while place > greatest {
            place -= 12;
        }
        let alter = (place + 1).div_euclid(7);
        Self { step: Step::of(place * 4), alter: i8::try_from(alter).unwrap_or_default() }
    }

    /// The name of a pitch class nearest to a position on the line of fifths; on a tie, the flatter one.
    pub fn nearest(pitch: PitchClass, place: i8) -> Self {
        Self::at_fifths(nearest_fifths(pitch, place))
    }

    /// Its position on the line of fifths.
    pub fn fifths(self) -> i8 {
        self.step.fifths().saturating_add(self.alter.saturating_mul(7))
    }

    /// The name this many fifths above it.
    #[must_use]
    pub fn up_fifths(self, fifths: i8) -> Self {
        Self::at_fifths(self.fifths().saturating_add(fifths))
    }

    /// The enharmonic equivalent with at most one accidental.
    #[must_use]
    pub fn plain(self) -> Self {
        match self.alter {
            -1..=1 => self,
            alter => Self::at_fifths(self.fifths().saturating_sub(alter.signum() * 12)),
        }
    }

    /// Its pitch class.
    pub fn class(self) -> PitchClass {
        let above_c = (i16::from(self.step.semitones()) + i16::from(self.alter)).rem_euclid(12);
        PitchClass::of(u8::try_from(above_c).unwrap_or_default())
    }

    /// The note of this name at a MIDI key, or the next one below if the key has another pitch class.
    pub fn on(self, key: u8) -> SpelledPitch {
        let Self { step, alter } = self;
        let letter = i16::from(key) - i16::from(step.semitones()) - i16::from(alter);
        let octave = i8::try_from(letter.div_euclid(12) - 1).unwrap_or_default();
        SpelledPitch { step, alter, octave }
    }
}

/// The position of a pitch class on the line of fifths that is nearest to `place`; on a tie, the flatter one.
pub(super) fn nearest_fifths(pitch: PitchClass, place: i8) -> i8 {
    // Seven fifths are a semitone up.
    let from_c = i16::from(pitch.number()) * 7;
    let flattest = i16::from(place) - 6;
    let nearest = flattest + (from_c - flattest).rem_euclid(12);
    i8::try_from(nearest).unwrap_or(place)
}

/// As musicians write it: `F♯`.
impl fmt::Display for PitchName {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.alter < 0 { "♭" } else { "♯" };
        let signs = sign.repeat(self.alter.unsigned_abs().into());
        write!(out, "{}{signs}", self.step.letter())
    }
}

/// A written note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct SpelledPitch {
    /// The letter.
    pub step: Step,
    /// Semitones by which accidentals raise it; from −2 to 2, as everything here makes it.
    pub alter: i8,
    /// The octave of the letter: 4 from middle C up.
    pub octave: i8,
}

impl SpelledPitch {
    /// Its name without the octave.
    pub fn name(self) -> PitchName {
        PitchName { step: self.step, alter: self.alter }
    }

    /// Its MIDI key. A transposed note may be outside 0 to 127.
    pub fn midi(self) -> i16 {
        let octave = (i16::from(self.octave) + 1) * 12;
        octave + i16::from(self.step.semitones()) + i16::from(self.alter)
    }

    /// Its position on a staff: steps above C0. E4, the lowest line in treble clef, is 30.
    pub fn staff_step(self) -> i16 {
        i16::from(self.octave) * 7 + i16::from(self.step.number())
    }
}

/// As musicians write it, with the octave: `F♯4`.
impl fmt::Display for SpelledPitch {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}{}", self.name(), self.octave)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(text: &str) -> PitchName {
        let at = |place| (place, PitchName::at_fifths(place).to_string());
        let found = LINE_OF_FIFTHS.map(at).find(|(_, name)| name == text);
        PitchName::at_fifths(found.unwrap_or_else(|| panic!("no {text}")).0)
    }

    #[test]
    fn names_are_in_order_of_fifths() {
        let line: Vec<String> = (-8..=12).map(|at| PitchName::at_fifths(at).to_string()).collect();
        let known = "F♭ C♭ G♭ D♭ A♭ E♭ B♭ F C G D A E B F♯ C♯ G♯ D♯ A♯ E♯ B♯";
        assert_eq!(line.join(" "), known);
        for place in LINE_OF_FIFTHS {
            let name = PitchName::at_fifths(place);
            assert_eq!(name.fifths(), place, "{name}");
            assert!(name.alter.abs() <= 2, "{name}");
            let plain = name.plain();
            assert!(plain.alter.abs() <= 1 && plain.class() == name.class(), "{name}");
            let semitones = u8::try_from((i16::from(place) * 7).rem_euclid(12)).unwrap();
            assert_eq!(name.class().number(), semitones, "{name}");
        }
        for place in i8::MIN..=i8::MAX {
            let name = PitchName::at_fifths(place);
            assert!(name.alter.abs() <= 2, "{place}");
            assert_eq!((i16::from(place) - i16::from(name.fifths())) % 12, 0, "{place}");
        }
    }

    #[test]
    fn an_octave_belongs_to_its_letter() {
        for (text, key, written) in [
            ("C", 60, "C4"),
            ("C♭", 59, "C♭4"),
            ("B♯", 60, "B♯3"),
            ("B♯", 0, "B♯-2"),
            ("C", 0, "C-1"),
            ("G", 127, "G9"),
            ("F♯♯", 127, "F♯♯9"),
            ("C♭♭", 10, "C♭♭0"),
        ] {
            let note = name(text).on(key);
            assert_eq!(note.to_string(), written);
            assert_eq!(note.midi(), i16::from(key), "{written}");
        }
        assert_eq!(name("E").on(64).staff_step(), 30);
    }

    #[test]
    fn the_nearest_name_has_the_pitch_class_and_is_at_most_half_a_circle_away() {
        for key in 0..12 {
            for place in -9..=13 {
                let pitch = PitchClass::of(key);
                let name = PitchName::nearest(pitch, place);
                assert_eq!(name.class(), pitch);
                assert!((-6..=5).contains(&(name.fifths() - place)), "{name} from {place}");
            }
        }
    }
}
