//! Detects controllers with one channel per string, on which a note ends when the next one on its string
//! begins, with or without a note-off.

use crate::input::note::Note;

/// Notes on one channel that overlap for longer than this are not on one string, in seconds. Origin:
/// twice the overlap of legato fingering.
const TOGETHER: f64 = 0.1;

/// Fewest channels of a string controller. Origin: two may be zones of a keyboard.
const STRINGS: usize = 3;

/// The latest note on each channel.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Channels {
    latest: [Option<usize>; 16],
    count: u32,
    /// Notes struck while another sounded on their channel.
    shared: u32,
}

impl Channels {
    /// Adds a note.
    pub fn add(&mut self, notes: &[Note], index: usize) {
        let Some(note) = notes.get(index) else { return };
        let Some(latest) = self.latest.get_mut(usize::from(note.channel)) else { return };
        let before = latest.replace(index).and_then(|before| notes.get(before));
        let shares =
            |before: &Note| before.off.is_none_or(|off| (off.second - note.on.second).0 > TOGETHER);
        self.count = self.count.saturating_add(1);
        self.shared = self.shared.saturating_add(u32::from(before.is_some_and(shares)));
    }

    /// Whether the string of note `index` has been struck again.
    pub fn is_struck_again(&self, notes: &[Note], index: usize) -> bool {
        let used = self.latest.iter().flatten().count();
        let strings = used >= STRINGS && self.shared.saturating_mul(16) < self.count;
        let channel = notes.get(index).map(|note| usize::from(note.channel));
        let latest = channel.and_then(|channel| *self.latest.get(channel)?);
        strings && latest.is_some_and(|latest| latest > index)
    }
}
