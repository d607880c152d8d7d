//! Spells played keys as a musician would.
//!
//! A chord tone has its name from the chord symbol: over D7 key 66 is F♯. All other notes are spelled from
//! their context, in [`ps13`], and corrected by their neighbours, in `neighbours`. Every name sounds as the
//! key that was played, and has at most one accidental: improvised lines are read fast, and F double sharp
//! slows the reader down (our choice, no source).

use super::key::{Key, KeySignature};
use super::name::{PitchName, SpelledPitch};
use super::pitch::PitchClass;
use super::symbol::Chord;

pub mod chord_tones;
mod neighbours;
pub mod ps13;

/// A note with its current name.
#[derive(Clone, Copy)]
struct SpelledNote {
    key: u8,
    name: PitchName,
    /// Named by the chord, which is final.
    in_chord: bool,
}

/// The names of a line's MIDI keys, in the order they were played.
///
/// `chord` is the chord over the note with an index. Without a signature the names follow the best-fitting
/// key; see [`Key::of`].
pub fn spell(
    keys: &[u8],
    chord: impl Fn(usize) -> Option<Chord>,
    signature: Option<KeySignature>,
) -> Vec<SpelledPitch> {
    let found = || Key::of(keys.iter().map(|key| (*key, 1.0))).map(|key| key.signature);
    let signature = signature.or_else(found).unwrap_or_default();
    let in_context = keys.iter().zip(ps13::names(keys, signature)).enumerate();
    let mut notes: Vec<SpelledNote> = in_context
        .map(|(index, (key, from_context))| {
            let in_chord = |chord| chord_tones::name(&chord, PitchClass::of(*key));
            let by_chord = chord(index).and_then(in_chord);
            let name = by_chord.unwrap_or(from_context.plain());
            SpelledNote { key: *key, name, in_chord: by_chord.is_some() }
        })
        .collect();
    neighbours::correct(&mut notes, signature);
    notes.iter().map(|note| note.name.on(note.key)).collect()
}

#[cfg(test)]
mod tests;
