//! The line of a performance: its onsets. Notes struck together are one.

use crate::ear::intervals::Onset;
use crate::note::Note;

/// One onset of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineOnset {
    /// Index of its first note.
    pub first: usize,
}

/// The onsets of a line that grows.
#[derive(Debug, Clone, Default)]
pub struct Line {
    onsets: Vec<LineOnset>,
    /// Notes looked at so far.
    seen: usize,
}

impl Line {
    /// The line of all of `notes`.
    #[must_use]
    pub fn of(notes: &[Note]) -> Self {
        let mut line = Self::default();
        line.follow(notes);
        line
    }

    /// Looks at the notes that have come since the last call. Returns the first onset that is
    /// new or has changed.
    pub fn follow(&mut self, notes: &[Note]) -> usize {
        let mut changed = self.onsets.len();
        for (index, note) in notes.iter().enumerate().skip(self.seen) {
            let last = self.onsets.last().and_then(|onset| notes.get(onset.first));
            if last.is_some_and(|last| last.on.second == note.on.second) {
                changed = changed.min(self.onsets.len().saturating_sub(1));
            } else {
                self.onsets.push(LineOnset { first: index });
            }
        }
        self.seen = notes.len().max(self.seen);
        changed
    }

    /// How many onsets it has.
    #[must_use]
    pub fn len(&self) -> usize {
        self.onsets.len()
    }

    /// Whether it has none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.onsets.is_empty()
    }

    /// How many notes it was made of.
    #[must_use]
    pub fn notes(&self) -> usize {
        self.seen
    }

    /// Onset `index`, if there is one.
    #[must_use]
    pub fn get(&self, index: usize) -> Option<LineOnset> {
        self.onsets.get(index).copied()
    }

    /// The onset that note `note` belongs to.
    #[must_use]
    pub fn onset_of(&self, note: usize) -> usize {
        self.onsets.partition_point(|onset| onset.first <= note).saturating_sub(1)
    }

    /// The notes of onset `index`.
    fn struck<'a>(&self, index: usize, notes: &'a [Note]) -> &'a [Note] {
        let from = self.get(index).map_or(self.seen, |onset| onset.first);
        let to = self.get(index + 1).map_or(self.seen, |onset| onset.first);
        notes.get(from..to).unwrap_or_default()
    }

    /// Onset `index` as the ear takes it.
    #[must_use]
    pub fn onset(&self, index: usize, notes: &[Note]) -> Option<Onset> {
        let struck = self.struck(index, notes);
        let ends =
            index.checked_sub(1).map(|before| self.struck(before, notes)).unwrap_or_default();
        let end = |note: &Note| note.off.map_or(f64::INFINITY, |off| off.second.0);
        Some(Onset {
            at: struck.first()?.on.second.0,
            key: struck.iter().map(|note| f64::from(note.key)).fold(0.0, f64::max),
            before_ended: ends.iter().map(end).fold(f64::NEG_INFINITY, f64::max),
        })
    }

    /// All onsets as the ear takes them.
    pub fn onsets<'a>(&'a self, notes: &'a [Note]) -> impl Iterator<Item = Onset> + 'a {
        (0..self.len()).filter_map(|index| self.onset(index, notes))
    }
}
