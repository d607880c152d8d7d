//! The part of a chord symbol after its root.

use crate::theory::pitch::{PitchClass, PitchSet};
use crate::theory::scan::Scan;
use crate::theory::symbol_error::SymbolError;

#[derive(Clone, Copy, Default, PartialEq)]
enum Quality {
    #[default]
    Major,
    Minor,
    Diminished,
    HalfDiminished,
    Augmented,
}

/// The chord so far, in semitones above its root.
#[derive(Default)]
pub(super) struct Body {
    quality: Quality,
    /// A seventh, if any, is major.
    major_seventh: bool,
    /// The top of the stack: 5, 6, 7, 9, 11 or 13.
    number: Option<u8>,
    six_nine: bool,
    /// Replaces the third.
    suspended: PitchSet,
    altered: bool,
    /// Altered fifths, which replace the plain one.
    fifths: PitchSet,
    added: PitchSet,
    omitted: PitchSet,
    /// A run of numbers, whose accidentals follow them.
    accidentals_follow: bool,
}

const MAJOR_SEVENTH: [(&str, bool); 9] = [
    ("maj", false),
    ("Maj", false),
    ("MAJ", false),
    ("Ma", false),
    ("ma", false),
    ("M", false),
    // These mean the seventh even without a number.
    ("Δ", true),
    ("j", true),
    ("^", true),
];

impl Body {
    pub(super) fn quality(&mut self, scan: &mut Scan<'_>) {
        use Quality::{Augmented, Diminished, HalfDiminished, Minor};
        scan.skip_separators();
        if self.take_major(scan) {
            return;
        }
        let words = [
            ("min", Minor),
            ("Min", Minor),
            ("MIN", Minor),
            ("mi", Minor),
            ("m", Minor),
            ("-", Minor),
            ("dim", Diminished),
            ("°", Diminished),
            ("o", Diminished),
            ("ø", HalfDiminished),
            ("aug", Augmented),
            ("+", Augmented),
        ];
        // "omit" begins like a diminished chord.
        if scan.rest().starts_with("omit") {
            return;
        }
        if let Some(quality) = scan.take_as(&words) {
            self.quality = quality;
            scan.skip_separators();
            if quality == HalfDiminished || self.take_major(scan) {
                self.number = Some(7);
            }
        } else {
            scan.take(&["dom"]);
        }
    }

    fn take_major(&mut self, scan: &mut Scan<'_>) -> bool {
        // "madd9" is a minor chord with a ninth.
        if scan.rest().starts_with("madd") {
            return false;
        }
        let taken = scan.take_as(&MAJOR_SEVENTH);
        if taken == Some(true) {
            self.number = Some(7);
        }
        self.major_seventh |= taken.is_some();
        taken.is_some()
    }

    pub(super) fn number(&mut self, scan: &mut Scan<'_>) {
        scan.skip_separators();
        if scan.take(&["69", "6/9"]) {
            (self.number, self.six_nine) = (Some(6), true);
        } else if scan.take(&["2"]) {
            self.added = self.added.with(PitchClass::of(2));
        } else if let Some(number) =
            scan.take_as(&[("13", 13), ("11", 11), ("9", 9), ("7", 7), ("6", 6), ("5", 5)])
        {
            self.number = Some(number);
            self.accidentals_follow = scan.digit_next();
        }
    }

    /// Parses the next element; false at the end or a slash.
    pub(super) fn more(&mut self, scan: &mut Scan<'_>) -> Result<bool, SymbolError> {
        let skipped = scan.skip_separators();
        let from_here = scan.rest();
        let not_understood = || SymbolError::NotUnderstood { rest: from_here.to_owned() };
        if from_here.is_empty() || from_here.starts_with('/') {
            return Ok(false);
        }
        let suspensions: [(&str, &[u8]); 5] =
            [("sus24", &[2, 5]), ("sus42", &[2, 5]), ("sus4", &[5]), ("sus2", &[2]), ("sus", &[5])];
        if let Some(tones) = scan.take_as(&suspensions) {
            self.suspended = self.suspended.and(PitchSet::of(tones));
            if self.number.is_none() {
                self.number(scan);
            }
            return Ok(true);
        }
        if scan.take(&["add"]) {
            scan.skip_separators();
            let accidental = scan.take_as(&[("b", -1), ("#", 1)]).unwrap_or(0);
            let number = scan.take_as(&NUMBERS).filter(|number| *number != 5);
            let tone = number.and_then(|number| altered(accidental, number));
            self.added = self.added.with(tone.ok_or_else(not_understood)?);
            return Ok(true);
        }
        if scan.take(&["omit", "no"]) {
            let out = scan.take_as(&[("3", [3, 4]), ("5", [7, 7])]);
            let out = out.ok_or_else(not_understood)?;
            self.omitted = self.omitted.and(PitchSet::of(&out));
            return Ok(true);
        }
        if scan.take(&["alt"]) {
            self.altered = true;
            return Ok(true);
        }
        let accidental = scan.take_as(&[("b", -1), ("#", 1), ("-", -1), ("+", 1)]);
        let number = scan.take_as(&NUMBERS);
        let (accidental, number) = match (accidental, number) {
            (Some(accidental), Some(number)) => (accidental, number),
            // In runs of numbers accidentals follow.
            (None, Some(number)) if self.accidentals_follow || skipped => {
                let behind = &[("b", -1), ("#", 1)];
                let follows = if self.accidentals_follow { scan.take_as(behind) } else { None };
                (follows.unwrap_or(0), number)
            }
            // "C7+" and "C7aug".
            (Some(1), None) => (1, 5),
            (None, None) if scan.take(&["aug"]) => (1, 5),
            _ => return Err(not_understood()),
        };
        let tone = altered(accidental, number).ok_or_else(not_understood)?;
        if number == 5 {
            self.fifths = self.fifths.with(tone);
        } else {
            self.added = self.added.with(tone);
        }
        Ok(true)
    }

    fn third(&self) -> PitchSet {
        if !self.suspended.is_empty() {
            return self.suspended;
        }
        match (self.number, self.quality) {
            (Some(5), _) => PitchSet::default(),
            (_, Quality::Major | Quality::Augmented) => PitchSet::of(&[4]),
            _ => PitchSet::of(&[3]),
        }
    }

    fn seventh(&self) -> Option<u8> {
        let has = self.altered || self.number.is_some_and(|number| number >= 7);
        has.then_some(match self.quality {
            _ if self.major_seventh => 11,
            Quality::Diminished => 9,
            _ => 10,
        })
    }

    fn fifth(&self) -> PitchSet {
        if self.altered {
            PitchSet::of(&[6, 8])
        } else if !self.fifths.is_empty() {
            self.fifths
        } else {
            PitchSet::of(match self.quality {
                Quality::Major | Quality::Minor => &[7],
                Quality::Diminished | Quality::HalfDiminished => &[6],
                Quality::Augmented => &[8],
            })
        }
    }

    pub(super) fn tones(&self) -> PitchSet {
        let mut tones = PitchSet::of(&[0]).and(self.third()).and(self.fifth()).and(self.added);
        let reaches = |number| self.number.is_some_and(|greatest| greatest >= number);
        let has = |semitones: &[u8]| semitones.iter().any(|s| self.added.has(PitchClass::of(*s)));
        let mut add = |semitones| tones = tones.with(PitchClass::of(semitones));
        if let Some(seventh) = self.seventh() {
            add(seventh);
        }
        if self.number == Some(6) {
            add(9);
        }
        if self.altered {
            add(1);
            add(3);
        }
        let plain_ninth = reaches(9) && !has(&[1]) && !(has(&[3]) && self.has_major_third());
        if self.six_nine || plain_ninth {
            add(2);
        }
        let eleventh = reaches(11) && (self.number == Some(11) || !self.has_major_third());
        if eleventh && !has(&[6]) {
            add(5);
        }
        if reaches(13) && !has(&[8]) {
            add(9);
        }
        self.omitted.pitches().fold(tones, PitchSet::without)
    }

    fn has_major_third(&self) -> bool {
        self.third().has(PitchClass::of(4))
    }

    pub(super) fn guides(&self) -> PitchSet {
        let sixth = (self.number == Some(6)).then_some(9);
        let upper = self.seventh().or(sixth);
        let guides = upper.map_or(self.third(), |s| self.third().with(PitchClass::of(s)));
        self.omitted.pitches().fold(guides, PitchSet::without)
    }
}

/// Numbers of tones that can be added or altered.
const NUMBERS: [(&str, u8); 7] =
    [("13", 13), ("11", 11), ("9", 9), ("6", 6), ("5", 5), ("4", 4), ("2", 2)];

/// A tone by its number and accidental; `None` for an unused combination.
fn altered(accidental: i8, number: u8) -> Option<PitchClass> {
    let semitones = match (accidental, number) {
        (-1, 9 | 2) => 1,
        (0, 9 | 2) => 2,
        (1, 9 | 2) => 3,
        (0, 11 | 4) => 5,
        (1, 11 | 4) | (-1, 5) => 6,
        (1, 5) | (-1, 13 | 6) => 8,
        (0, 13 | 6) => 9,
        _ => return None,
    };
    Some(PitchClass::of(semitones))
}
