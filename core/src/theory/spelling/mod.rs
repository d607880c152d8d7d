//! Gives played keys the names a musician would write.
//!
//! A tone of the chord it sounds over has the name it has in the chord's symbol: over D7 key 66 is F♯.
//! All others are spelt by their neighbours, in [`ps13`]. Every name sounds as the key that was played.

use super::key::{Key, KeySignature};
use super::name::SpelledPitch;
use super::pitch::PitchClass;
use super::symbol::Chord;

pub mod chord_tones;
pub mod ps13;

/// The names of a line's MIDI keys, in the order they were played.
///
/// `chord` is the chord over the note of an index. Without a signature the names keep to the key that
/// fits best; see [`Key::of`].
pub fn spell(
    keys: &[u8],
    chord: impl Fn(usize) -> Option<Chord>,
    signature: Option<KeySignature>,
) -> Vec<SpelledPitch> {
    let found = || Key::of(keys.iter().map(|key| (*key, 1.0))).map(|key| key.signature);
    let signature = signature.or_else(found).unwrap_or_default();
    let by_neighbours = ps13::names(keys, signature);
    let notes = keys.iter().zip(by_neighbours).enumerate();
    notes
        .map(|(index, (key, name))| {
            let in_chord = |chord| chord_tones::name(&chord, PitchClass::of(*key));
            chord(index).and_then(in_chord).unwrap_or(name).on(*key)
        })
        .collect()
}

#[cfg(test)]
mod tests;
