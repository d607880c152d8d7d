//! Two corrections of names by the notes before and after.
//!
//! - A *neighbour note*, a semitone or tone from the same note before and after it, has a different letter:
//!   E D♯ E, not E E♭ E. This is from stage 2 of ps13 (Meredith 2006), of which only this helped on the
//!   tunes of the outside check; the corrections of passing notes did not.
//! - With chords, a note outside key and chord that rises by a semitone to a chord tone is the letter below
//!   it, raised: D♯ E over C (common practice, no source).

use super::SpelledNote;
use crate::theory::key::KeySignature;
use crate::theory::name::{PitchName, Step};
use crate::theory::pitch::PitchClass;

/// Corrects names from the first note to the last. Notes of the key and of a chord keep theirs.
pub(super) fn correct(notes: &mut [SpelledNote], signature: KeySignature) {
    for index in 0..notes.len() {
        let at = |index: usize| notes.get(index).copied();
        let (Some(note), Some(next)) = (at(index), at(index + 1)) else { return };
        if note.in_chord || note.name.alter == signature.alter(note.name.step) {
            continue;
        }
        let before = index.checked_sub(1).and_then(at);
        let neighbour = before.and_then(|before| neighbour(before, note, next));
        let renamed = neighbour.or_else(|| approach(note, next));
        if let Some((slot, name)) = notes.get_mut(index).zip(renamed) {
            slot.name = name;
        }
    }
}

fn neighbour(before: SpelledNote, note: SpelledNote, after: SpelledNote) -> Option<PitchName> {
    let returns = before.key == after.key && before.name == after.name;
    let near = (1..=2).contains(&note.key.abs_diff(before.key));
    if !returns || !near || note.name.step != before.name.step {
        return None;
    }
    beside(before.name.step, if note.key > before.key { 1 } else { -1 }, note.key)
}

fn approach(note: SpelledNote, next: SpelledNote) -> Option<PitchName> {
    let rises = note.key.checked_add(1) == Some(next.key) && next.in_chord;
    if !rises || note.name.step != next.name.step {
        return None;
    }
    beside(next.name.step, -1, note.key)
}

/// A key's name with the letter `by` steps from another, unless that needs two accidentals.
fn beside(step: Step, by: i32, key: u8) -> Option<PitchName> {
    let step = Step::of(i32::from(step.number()) + by);
    let names = [0, 1, -1].map(|alter| PitchName { step, alter });
    names.into_iter().find(|name| name.class() == PitchClass::of(key))
}
