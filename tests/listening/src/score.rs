//! Agreement of transcribed notes with the played ones.

use crate::solos::Note;

/// Onsets match within this distance, in seconds. Origin: MIREX and mir_eval.
pub const NEAR: f64 = 0.05;

/// Counts of matches.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Tally {
    pub found: usize,
    pub heard: usize,
    pub played: usize,
}

impl Tally {
    /// The harmonic mean of precision and recall.
    pub fn f1(self) -> f64 {
        2.0 * self.found as f64 / (self.heard + self.played).max(1) as f64
    }

    /// The sum of both.
    pub fn plus(self, other: Self) -> Self {
        Self {
            found: self.found + other.found,
            heard: self.heard + other.heard,
            played: self.played + other.played,
        }
    }
}

/// Pairs of played and transcribed notes, each in one pair at most: greedily, the first free match in order
/// of time.
pub fn pairs(
    played: &[Note],
    heard: &[Note],
    fits: impl Fn(&Note, &Note) -> bool,
) -> Vec<(usize, usize)> {
    let mut taken = vec![false; heard.len()];
    let mut pairs = Vec::new();
    for (index, note) in played.iter().enumerate() {
        let from = heard.partition_point(|other| other.on < note.on - NEAR);
        let near = heard[from..].iter().take_while(|other| other.on <= note.on + NEAR);
        let free = near.enumerate().find(|(at, other)| !taken[from + at] && fits(note, other));
        if let Some((at, _)) = free {
            taken[from + at] = true;
            pairs.push((index, from + at));
        }
    }
    pairs
}

/// Onsets that match within 50 ms.
pub fn onsets(played: &[Note], heard: &[Note]) -> Tally {
    let found = pairs(played, heard, |_, _| true).len();
    Tally { found, heard: heard.len(), played: played.len() }
}

/// Whether the key is the played one, or the octave below if its sample starts there.
pub fn same_key(played: &Note, heard: &Note) -> bool {
    played.key == heard.key || (played.low && played.key == heard.key + 12)
}

/// Onsets that match within 50 ms with the same key.
pub fn notes(played: &[Note], heard: &[Note]) -> Tally {
    let found = pairs(played, heard, same_key).len();
    Tally { found, heard: heard.len(), played: played.len() }
}
