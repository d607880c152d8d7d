//! Names chord tones by the chord symbol.

use crate::theory::name::PitchName;
use crate::theory::pitch::{PitchClass, PitchSet};
use crate::theory::symbol::Chord;

/// The name of a pitch class in a chord; `None` if it is not a chord tone. A name with two accidentals is
/// simplified: the seventh of C°7 is A.
///
/// A chord stores pitch classes, so some tones could be two degrees. The other tones decide: three
/// semitones are a ninth beside a major third; six an eleventh beside a fifth; eight a thirteenth beside a
/// fifth and in an altered chord; nine the seventh of a diminished chord.
pub fn name(chord: &Chord, pitch: PitchClass) -> Option<PitchName> {
    if let Some(bass) = chord.bass.filter(|bass| bass.class() == pitch) {
        return Some(bass);
    }
    if !chord.tones.has(pitch) {
        return None;
    }
    let down = 12 - chord.root.class().number();
    let above = fifths(chord.tones.up(down), pitch.up(down).number());
    Some(chord.root.up_fifths(above).plain())
}

/// The position of a tone above its root on the line of fifths; tones are in semitones above the root.
fn fifths(tones: PitchSet, tone: u8) -> i8 {
    let has = |tone| tones.has(PitchClass::of(tone));
    match tone {
        1 => -5,
        2 => 2,
        3 if has(4) => 9,
        3 => -3,
        4 => 4,
        5 => -1,
        6 if has(7) => 6,
        6 => -6,
        7 => 1,
        8 if has(7) || has(6) => -4,
        8 => 8,
        9 if has(3) && has(6) && !has(10) => -9,
        9 => 3,
        10 => -2,
        11 => 5,
        _ => 0,
    }
}
