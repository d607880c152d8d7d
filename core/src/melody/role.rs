//! What part each note plays.

use serde::{Deserialize, Serialize};

/// The part that a note plays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum NoteRole {
    /// It is one of the line's onsets.
    Main,
    /// A grace note of the onset after it.
    Ornament,
    /// Not meant: a slip, or a key's second trigger.
    Glitch,
    /// Accompaniment, or a chord's note under the line's.
    Under,
}

/// Note count per role.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct RoleCounts {
    /// Onsets of the line.
    pub main: usize,
    /// Grace notes.
    pub ornaments: usize,
    /// Slips and second triggers, which are left out.
    pub glitches: usize,
    /// Accompaniment, and notes of a chord under the line's.
    pub under: usize,
}

impl RoleCounts {
    pub(super) fn add(&mut self, role: NoteRole) {
        let count = match role {
            NoteRole::Main => &mut self.main,
            NoteRole::Ornament => &mut self.ornaments,
            NoteRole::Glitch => &mut self.glitches,
            NoteRole::Under => &mut self.under,
        };
        *count += 1;
    }
}
