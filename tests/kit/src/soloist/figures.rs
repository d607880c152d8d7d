//! What a line is made of: figures of one beat, and the places at which phrases begin.

/// The notes of one beat: those of `steps` among `division` equal parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Figure {
    /// How often it is played, among the others.
    pub weight: u32,
    /// Parts of the beat.
    pub division: u8,
    /// Those on which a note begins, from 0. None is tied over from the beat before, but a beat
    /// without step 0 lets the last note sound on: a syncopation.
    pub steps: &'static [u8],
}

/// Figures where a beat divides in two. Origin of the weights: common practice, no source.
const SIMPLE: [Figure; 7] = [
    Figure { weight: 56, division: 2, steps: &[0, 1] },
    Figure { weight: 12, division: 1, steps: &[0] },
    Figure { weight: 9, division: 2, steps: &[1] },
    Figure { weight: 9, division: 3, steps: &[0, 1, 2] },
    Figure { weight: 8, division: 4, steps: &[0, 1, 2, 3] },
    Figure { weight: 3, division: 4, steps: &[0, 2, 3] },
    Figure { weight: 3, division: 4, steps: &[0, 1, 2] },
];

/// Figures where a beat divides in three: eighths are its thirds and sixteenths its sixths.
const COMPOUND: [Figure; 7] = [
    Figure { weight: 56, division: 3, steps: &[0, 1, 2] },
    Figure { weight: 10, division: 3, steps: &[0, 2] },
    Figure { weight: 10, division: 1, steps: &[0] },
    Figure { weight: 9, division: 3, steps: &[1, 2] },
    Figure { weight: 4, division: 2, steps: &[0, 1] },
    Figure { weight: 7, division: 6, steps: &[0, 1, 2, 3, 4, 5] },
    Figure { weight: 4, division: 6, steps: &[0, 2, 4, 5] },
];

/// The figures of a metre whose beats divide in two, or in three.
pub fn figures(in_three: bool) -> &'static [Figure; 7] {
    if in_three { &COMPOUND } else { &SIMPLE }
}

/// A kind of place at which a phrase begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// Beat one.
    One,
    /// Another beat.
    Beat,
    /// Half a beat after one.
    And,
    /// A third or two thirds after one, evenly.
    Triplet,
    /// The shortest note value: right after a beat or right before the next, evenly.
    ///
    /// Where eighths swing, neither kind lies right before the next beat: a late note alone between
    /// two beats is the swung eighth, and so it is written. Origin: common practice, no source.
    Sixteenth,
}

/// How often phrases begin where. Origin: phrase starts of 212 labelled solos in 4/4 of the
/// Weimar Jazz Database (Pfleiderer and others 2017), places other than these left out.
pub const STARTS: [(u32, Start); 5] = [
    (11, Start::One),
    (25, Start::Beat),
    (34, Start::And),
    (8, Start::Triplet),
    (22, Start::Sixteenth),
];

impl Start {
    /// The parts a beat is divided in for it, and the steps on which it may lie, in a line whose
    /// eighths swing or do not.
    pub fn steps(self, in_three: bool, swings: bool) -> (u8, &'static [u8]) {
        match (self, in_three) {
            (Self::One | Self::Beat, _) => (1, &[0]),
            (Self::And, _) => (2, &[1]),
            (Self::Triplet, false) if swings => (3, &[1]),
            (Self::Triplet, _) => (3, &[1, 2]),
            (Self::Sixteenth, false) if swings => (4, &[1]),
            (Self::Sixteenth, false) => (4, &[1, 3]),
            (Self::Sixteenth, true) => (6, &[1, 5]),
        }
    }
}
