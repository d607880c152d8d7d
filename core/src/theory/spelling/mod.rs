//! Gives played keys the names a musician would write.
//!
//! A tone of the chord it sounds over has the name it has in the chord's symbol: over D7 key 66 is F♯.
//! All others are spelt by the notes around, in [`ps13`], and corrected by the notes next to them, in
//! `neighbours`. Every name sounds as the key that was
//! played, and has one accidental at most: improvised lines are read fast, and F double sharp slows them
//! down (our choice, no source).

use super::key::{Key, KeySignature};
use super::name::{PitchName, SpelledPitch};
use super::pitch::PitchClass;
use super::symbol::Chord;

pub mod chord_tones;
mod neighbours;
pub mod ps13;

/// A note with its name so far.
#[derive(Clone, Copy)]
struct Spelt {
    key: u8,
    name: PitchName,
    /// Named by the chord, and so for good.
    in_chord: bool,
}

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
    let in_context = keys.iter().zip(ps13::names(keys, signature)).enumerate();
    let mut notes: Vec<Spelt> = in_context
        .map(|(index, (key, by_notes_around))| {
            let in_chord = |chord| chord_tones::name(&chord, PitchClass::of(*key));
            let by_chord = chord(index).and_then(in_chord);
            let name = by_chord.unwrap_or(by_notes_around.plain());
            Spelt { key: *key, name, in_chord: by_chord.is_some() }
        })
        .collect();
    neighbours::correct(&mut notes, signature);
    notes.iter().map(|note| note.name.on(note.key)).collect()
}

#[cfg(test)]
mod tests;
