//! The part of each note of a beat, packed into one word because assignments are copied often.

/// Most notes of a beat that are quantized together.
pub(super) const MAX_NOTES: usize = 12;

/// Bits of a part: there are up to 20.
const BITS: usize = 5;

/// The part of each of up to [`MAX_NOTES`] notes, from 0; 0 for missing notes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct PackedIndices(u64);

impl PackedIndices {
    /// Sets the part of note `note`, which was unset.
    pub fn with(self, note: usize, step: u8) -> Self {
        Self(self.0 | u64::from(step) << (BITS * note))
    }

    pub fn get(self, note: usize) -> u8 {
        let [low, ..] = (self.0 >> (BITS * note)).to_le_bytes();
        low & ((1 << BITS) - 1)
    }

    /// The parts of [`MAX_NOTES`] notes.
    pub fn iter(self) -> impl Iterator<Item = u8> {
        (0..MAX_NOTES).map(move |note| self.get(note))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_note_keeps_its_part() {
        let step = |note: usize| u8::try_from(note * 7 % 20).unwrap();
        let steps = (0..MAX_NOTES)
            .fold(PackedIndices::default(), |steps, note| steps.with(note, step(note)));
        assert!(steps.iter().eq((0..MAX_NOTES).map(step)));
        assert_eq!((steps.get(11), PackedIndices::default().get(11)), (step(11), 0));
    }
}
