//! The line of a performance as it grows: its onsets, and each as the ear takes it.

use crate::input::note::Note;
use crate::melody::{Follower, Melody, MelodyOnset, NoteRole, RoleCounts};
use crate::segmentation::intervals::Onset;

/// The onsets of a line that grows.
#[derive(Debug, Clone, Default)]
pub struct Line {
    follower: Follower,
}

impl Line {
    /// A line without a note.
    #[must_use]
    pub fn new(melody: Melody) -> Self {
        Self { follower: Follower::new(melody) }
    }

    /// The line of all of `notes`.
    #[must_use]
    pub fn of(notes: &[Note], melody: Melody) -> Self {
        let mut line = Self::new(melody);
        line.follow(notes);
        line
    }

    /// Looks at the notes that have come since the last call. Returns the first onset that is
    /// new or has changed.
    pub fn follow(&mut self, notes: &[Note]) -> usize {
        self.follower.follow(notes)
    }

    /// Its onsets, in order.
    #[must_use]
    pub fn all(&self) -> &[MelodyOnset] {
        self.follower.line()
    }

    /// What each note is to it.
    #[must_use]
    pub fn roles(&self) -> &[NoteRole] {
        self.follower.roles()
    }

    /// How many notes are what to it.
    #[must_use]
    pub fn counts(&self) -> RoleCounts {
        self.follower.counts()
    }

    /// How many of its first onsets will not change any more.
    #[must_use]
    pub fn firm(&self) -> usize {
        self.follower.firm()
    }

    /// How many onsets it has.
    #[must_use]
    pub fn len(&self) -> usize {
        self.all().len()
    }

    /// Whether it has none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.all().is_empty()
    }

    /// How many notes it was made of.
    #[must_use]
    pub fn notes(&self) -> usize {
        self.roles().len()
    }

    /// Onset `index`, if there is one.
    #[must_use]
    pub fn get(&self, index: usize) -> Option<MelodyOnset> {
        self.all().get(index).copied()
    }

    /// The onset that note `note` belongs to, or comes after.
    #[must_use]
    pub fn onset_of(&self, note: usize) -> usize {
        self.all().partition_point(|onset| onset.first <= note).saturating_sub(1)
    }

    /// Onset `index` as the ear takes it.
    #[must_use]
    pub fn onset(&self, index: usize, notes: &[Note]) -> Option<Onset> {
        let onset = self.get(index)?;
        let before = index.checked_sub(1).and_then(|before| self.get(before));
        let ended =
            before.map(|before| before.off(notes).map_or(f64::INFINITY, |off| off.second.0));
        Some(Onset {
            at: onset.on(notes)?.second.0,
            opens: onset.opens(notes)?.second.0,
            key: f64::from(notes.get(onset.note)?.key),
            before_ended: ended.unwrap_or(f64::NEG_INFINITY),
        })
    }

    /// All onsets as the ear takes them.
    pub fn onsets<'a>(&'a self, notes: &'a [Note]) -> impl Iterator<Item = Onset> + 'a {
        (0..self.len()).filter_map(|index| self.onset(index, notes))
    }
}
