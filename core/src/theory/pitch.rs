//! Pitch classes and sets of them.

/// A pitch class in semitones above C, from 0 to 11, without spelling: C# is Db.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PitchClass(u8);

impl PitchClass {
    /// The pitch class of a MIDI key, or of any number of semitones above C.
    pub fn of(key: u8) -> Self {
        Self(key % 12)
    }

    /// Semitones above C, from 0 to 11.
    pub fn number(self) -> u8 {
        self.0
    }

    /// This many semitones higher.
    #[must_use]
    pub fn up(self, semitones: u8) -> Self {
        Self((self.0 + semitones % 12) % 12)
    }
}

/// A set of pitch classes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PitchSet(u16);

impl PitchSet {
    /// The set of these semitones above C.
    pub fn of(semitones: &[u8]) -> Self {
        semitones.iter().fold(Self::default(), |set, s| set.with(PitchClass::of(*s)))
    }

    /// With this one.
    #[must_use]
    pub fn with(self, pitch: PitchClass) -> Self {
        Self(self.0 | 1 << pitch.0)
    }

    /// Without this one.
    #[must_use]
    pub fn without(self, pitch: PitchClass) -> Self {
        Self(self.0 & !(1 << pitch.0))
    }

    /// The union.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether it has this one.
    pub fn has(self, pitch: PitchClass) -> bool {
        self.0 & 1 << pitch.0 != 0
    }

    /// Whether it has none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// All this many semitones higher.
    #[must_use]
    pub fn up(self, semitones: u8) -> Self {
        self.pitches().fold(Self::default(), |set, pitch| set.with(pitch.up(semitones)))
    }

    /// Its pitch classes, from C up.
    pub fn pitches(self) -> impl Iterator<Item = PitchClass> {
        (0..12).map(PitchClass).filter(move |pitch| self.has(*pitch))
    }
}
