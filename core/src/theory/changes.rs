//! The chord changes of a song.

use super::symbol::Chord;
use crate::time::Beat;

/// A change of chord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Where.
    pub at: Beat,
    /// The chord; `None` for no chord.
    pub chord: Option<Chord>,
}

/// The chord changes of a song, in order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Changes {
    changes: Vec<Change>,
}

impl Changes {
    /// From changes in any order. Redundant ones are dropped, even C♯7 after D♭7; of several at one beat the
    /// last counts.
    pub fn of(mut all: Vec<Change>) -> Self {
        all.retain(|change| change.at.0.is_finite());
        all.sort_by(|a, b| a.at.0.total_cmp(&b.at.0));
        let mut changes: Vec<Change> = Vec::with_capacity(all.len());
        for change in all {
            if changes.last().is_some_and(|last| last.at == change.at) {
                changes.pop();
            }
            let before = changes.last().and_then(|last| last.chord);
            let same = match (before, change.chord) {
                (Some(before), Some(now)) => before.sounds_as(&now),
                (before, now) => before.is_none() && now.is_none(),
            };
            if !same {
                changes.push(change);
            }
        }
        Self { changes }
    }

    /// All changes, in order.
    pub fn all(&self) -> &[Change] {
        &self.changes
    }

    /// The chord at `beat`.
    pub fn chord_at(&self, beat: Beat) -> Option<Chord> {
        let after = self.changes.partition_point(|change| change.at <= beat);
        self.changes.get(after.checked_sub(1)?)?.chord
    }

    /// The changes after `beat`, in order.
    pub fn after(&self, beat: Beat) -> &[Change] {
        let first = self.changes.partition_point(|change| change.at <= beat);
        self.changes.get(first..).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::symbol::parse;

    #[test]
    fn a_chord_holds_until_the_next() {
        let at = |beat, text| Change { at: Beat(beat), chord: parse(text).unwrap() };
        let changes = Changes::of(vec![
            at(8.0, "G7"),
            at(0.0, "NC"),
            at(4.0, "Dm7"),
            at(6.0, "Dm7"),
            at(8.0, "Db7"),
            Change { at: Beat(f64::NAN), chord: None },
        ]);
        assert_eq!(changes.all(), [at(4.0, "Dm7"), at(8.0, "Db7")]);
        assert_eq!(changes.chord_at(Beat(3.9)), None);
        assert_eq!(changes.chord_at(Beat(4.0)), parse("Dm7").unwrap());
        assert_eq!(changes.chord_at(Beat(7.9)), parse("Dm7").unwrap());
        assert_eq!(changes.chord_at(Beat(1e9)), parse("Db7").unwrap());
        assert_eq!(changes.after(Beat(4.0)), [at(8.0, "Db7")]);
    }
}
