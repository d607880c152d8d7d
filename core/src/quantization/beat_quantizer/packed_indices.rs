//! The parts that the notes of a beat lie on, in one word: they are copied a great deal.

use super::grid_assignment::MOST;

/// Bits of a part: there are up to 20.
const BITS: usize = 5;

/// The part of each of up to [`MOST`] notes, from 0; 0 of those that are not there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Steps(u64);

impl Steps {
    /// With note `note`, which had none, on part `step`.
    pub fn with(self, note: usize, step: u8) -> Self {
        Self(self.0 | u64::from(step) << (BITS * note))
    }

    /// The part of note `note`.
    pub fn get(self, note: usize) -> u8 {
        let [low, ..] = (self.0 >> (BITS * note)).to_le_bytes();
        low & ((1 << BITS) - 1)
    }

    /// The parts of [`MOST`] notes.
    pub fn iter(self) -> impl Iterator<Item = u8> {
        (0..MOST).map(move |note| self.get(note))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_note_keeps_its_part() {
        let step = |note: usize| u8::try_from(note * 7 % 20).unwrap();
        let steps = (0..MOST).fold(Steps::default(), |steps, note| steps.with(note, step(note)));
        assert!(steps.iter().eq((0..MOST).map(step)));
        assert_eq!((steps.get(11), Steps::default().get(11)), (step(11), 0));
    }
}
