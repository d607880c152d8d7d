//! The role of each note.

use serde::{Deserialize, Serialize};

/// The role of a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum NoteRole {
    /// An onset of the line.
    Main,
    /// A grace note of the onset after it.
    Ornament,
    /// Unintended: a slip, or a second trigger of a key.
    Glitch,
    /// Accompaniment, or a chord note under the line.
    Under,
}

/// Note count per role.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct RoleCounts {
    /// Onsets of the line.
    pub main: usize,
    /// Grace notes.
    pub ornaments: usize,
    /// Slips and second triggers, which are ignored.
    pub glitches: usize,
    /// Accompaniment, and chord notes under the line.
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
