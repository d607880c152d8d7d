//! Which notes of a bar show an accidental.

use crate::theory::key::KeySignature;
use crate::theory::name::SpelledPitch;
use std::collections::BTreeMap;

/// The accidentals in force in a bar. Each holds for its line or space to the bar line.
#[derive(Debug, Clone)]
pub struct InForce {
    signature: KeySignature,
    shown: BTreeMap<i16, i8>,
}

impl InForce {
    /// At a bar line.
    #[must_use]
    pub fn new(signature: KeySignature) -> Self {
        Self { signature, shown: BTreeMap::new() }
    }

    /// Processes the next note. Returns the alteration to show, 0 for a natural; `None` if it is in force.
    pub fn next(&mut self, pitch: SpelledPitch) -> Option<i8> {
        let line = pitch.staff_step();
        let before =
            self.shown.get(&line).copied().unwrap_or_else(|| self.signature.alter(pitch.step));
        if before == pitch.alter {
            return None;
        }
        self.shown.insert(line, pitch.alter);
        Some(pitch.alter)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::name::Step;

    #[test]
    fn an_accidental_holds_for_its_line_to_the_bar_line() {
        let note = |alter, octave| SpelledPitch { step: Step::F, alter, octave };
        // In G major, with one sharp, F is F sharp.
        let mut bar = InForce::new(KeySignature::of(1).unwrap());
        let shown =
            [note(1, 4), note(0, 4), note(0, 4), note(0, 5), note(1, 4)].map(|note| bar.next(note));
        assert_eq!(shown, [None, Some(0), None, Some(0), Some(1)]);
    }
}
