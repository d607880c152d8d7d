//! The sounding notes, as a set of fixed size.

/// Keys of each channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct SoundingNotes([u128; 16]);

impl SoundingNotes {
    /// Adds a note. Invalid MIDI keys and channels are ignored.
    pub fn insert(&mut self, key: u8, channel: u8) {
        if let Some((keys, bit)) = self.slot(key, channel) {
            *keys |= bit;
        }
    }

    /// Removes a note.
    pub fn remove(&mut self, key: u8, channel: u8) {
        if let Some((keys, bit)) = self.slot(key, channel) {
            *keys &= !bit;
        }
    }

    /// Adds all notes of `other`.
    pub fn insert_all(&mut self, other: &Self) {
        for (keys, others) in self.0.iter_mut().zip(other.0) {
            *keys |= others;
        }
    }

    /// Removes a note and returns its key and channel; `None` if none is left.
    pub fn pop(&mut self) -> Option<(u8, u8)> {
        let (keys, channel) = self.0.iter_mut().zip(0_u8..).find(|(keys, _)| **keys != 0)?;
        let key = u8::try_from(keys.trailing_zeros()).ok()?;
        *keys &= *keys - 1;
        Some((key, channel))
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|keys| *keys == 0)
    }

    fn slot(&mut self, key: u8, channel: u8) -> Option<(&mut u128, u128)> {
        let bit = 1_u128.checked_shl(u32::from(key))?;
        Some((self.0.get_mut(usize::from(channel))?, bit))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_note_comes_out_once() {
        let mut notes = SoundingNotes::default();
        for (key, channel) in [(0, 0), (127, 15), (60, 3), (60, 4), (60, 3), (128, 0), (1, 16)] {
            notes.insert(key, channel);
        }
        notes.remove(60, 4);
        let mut more = SoundingNotes::default();
        more.insert(5, 3);
        notes.insert_all(&more);
        let all: Vec<_> = core::iter::from_fn(|| notes.pop()).collect();
        assert_eq!(all, [(0, 0), (5, 3), (60, 3), (127, 15)]);
        assert!(notes.is_empty());
    }
}
