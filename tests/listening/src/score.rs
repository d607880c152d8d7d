//! How heard notes agree with those that were played.

use crate::solos::Note;

/// Onsets agree within this, in seconds. Origin: MIREX and mir_eval.
pub const NEAR: f64 = 0.05;

/// How often what was heard was right.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Tally {
    pub found: usize,
    pub heard: usize,
    pub played: usize,
}

impl Tally {
    /// Precision and recall in one.
    pub fn f1(self) -> f64 {
        2.0 * self.found as f64 / (self.heard + self.played).max(1) as f64
    }

    /// Both.
    pub fn plus(self, other: Self) -> Self {
        Self {
            found: self.found + other.found,
            heard: self.heard + other.heard,
            played: self.played + other.played,
        }
    }
}

/// Pairs of played and heard, each of which is in one pair at most, as many as can be: the first free
/// one that fits, in order of time.
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

/// Onsets within 50 ms.
pub fn onsets(played: &[Note], heard: &[Note]) -> Tally {
    let found = pairs(played, heard, |_, _| true).len();
    Tally { found, heard: heard.len(), played: played.len() }
}

/// Whether the key is that which was played, or the octave below that its sample begins with.
pub fn same_key(played: &Note, heard: &Note) -> bool {
    played.key == heard.key || (played.low && played.key == heard.key + 12)
}

/// Onsets within 50 ms with the same key.
pub fn notes(played: &[Note], heard: &[Note]) -> Tally {
    let found = pairs(played, heard, same_key).len();
    Tally { found, heard: heard.len(), played: played.len() }
}
