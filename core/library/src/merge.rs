//! Brings copies of takes together: those of a project and those of the library, those of a
//! project and its older copy, those of two instances that were once one.
//!
//! # The rules
//! - Takes are the same where their ids are, and there only.
//! - A copy that has all notes of the other, and more, is the take: the other was saved while it
//!   was played. Of copies with the same notes the one that knows more of their ends is.
//! - Copies that each have notes the other lacks both stay. The shorter one gets an id of its
//!   own, which is always the same for the same notes.
//! - Each label is as it was last changed. A deleted take is one whose label says so, so that
//!   an older copy does not bring it back; its notes are there until it is purged everywhere.
//!
//! It does not matter which of two is given first, and bringing together once more changes
//! nothing.

use crate::error::LibraryError;
use crate::ids::id_of_version;
use crate::labels::Labels;
use crate::library::{Origin, State};
use crate::packed::{GRAIN, unpack};
use crate::stamp::Stamp;
use overbar_core::input::note::Note;
use overbar_core::take::performance::Performance;
use overbar_core::take::{Take, TakeId};
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A take at rest: in a project, in the library, on its way between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Stored {
    /// What it is known by.
    pub id: TakeId,
    /// When it began.
    pub began: Stamp,
    /// Where it comes from.
    pub origin: Origin,
    /// How far along it is.
    pub state: State,
    /// What the user added.
    pub labels: Labels,
    /// Its notes, as [`crate::packed`] has them.
    pub packed: Arc<[u8]>,
}

impl Stored {
    /// Its notes.
    ///
    /// # Errors
    /// [`LibraryError::Unreadable`].
    pub fn open(&self) -> Result<Performance, LibraryError> {
        unpack(&self.packed).map_err(|why| LibraryError::Unreadable(self.id, why))
    }

    /// The take, with the boundaries that were set by hand.
    ///
    /// # Errors
    /// [`LibraryError::Unreadable`].
    pub fn take(&self) -> Result<Take, LibraryError> {
        let corrections = self.labels.corrections.value.clone();
        Ok(Take::new(self.id, Performance { corrections, ..self.open()? }))
    }
}

/// Brings two lists of takes together by the rules above. In order of date, then id.
///
/// # Errors
/// [`LibraryError::Unreadable`] where two copies differ and one can't be read.
pub fn merge(one: Vec<Stored>, other: Vec<Stored>) -> Result<Vec<Stored>, LibraryError> {
    let mut merged: BTreeMap<TakeId, Stored> = BTreeMap::new();
    let mut waiting: Vec<Stored> = one.into_iter().chain(other).collect();
    while let Some(take) = waiting.pop() {
        let Some(known) = merged.remove(&take.id) else {
            merged.insert(take.id, take);
            continue;
        };
        let (take, version) = both(known, take)?;
        merged.insert(take.id, take);
        waiting.extend(version);
    }
    let mut all: Vec<Stored> = merged.into_values().collect();
    all.sort_by_key(|take| (take.began, take.id));
    Ok(all)
}

/// Two copies of a take as one, and the other version where there are two.
fn both(one: Stored, other: Stored) -> Result<(Stored, Option<Stored>), LibraryError> {
    let labels = one.labels.clone().later(other.labels.clone());
    let began = one.began.min(other.began);
    let origin = one.origin.min(other.origin);
    if one.packed == other.packed {
        // Of two states of the same notes the settled one.
        let state = if one.state == State::Over { one.state } else { other.state };
        return Ok((Stored { labels, began, origin, state, ..one }, None));
    }
    let (notes, other_notes) = (all_notes(&one.open()?), all_notes(&other.open()?));
    let order = notes.len().cmp(&other_notes.len()).then(ended(&notes).cmp(&ended(&other_notes)));
    let order = order.then_with(|| one.packed.cmp(&other.packed));
    let (mut long, mut short, within) = match order {
        Ordering::Less => (other, one, holds(&other_notes, &notes)),
        _ => (one, other, holds(&notes, &other_notes)),
    };
    (long.labels, long.began, long.origin) = (labels.clone(), began, origin);
    if within {
        return Ok((long, None));
    }
    short.id = id_of_version(short.id, &short.packed);
    (short.labels, short.began, short.origin) = (labels, began, origin);
    Ok((long, Some(short)))
}

fn all_notes(take: &Performance) -> Vec<Note> {
    let mut notes: Vec<Note> = take.heard.notes().to_vec();
    notes.extend(take.outside.notes());
    notes.sort_by(|a, b| {
        let place = |n: &Note| (n.key, n.channel);
        a.on.second.0.total_cmp(&b.on.second.0).then(place(a).cmp(&place(b)))
    });
    notes
}

fn ended(notes: &[Note]) -> usize {
    notes.iter().filter(|note| note.off.is_some()).count()
}

/// Whether every note of `part` is in `whole`. Both are in order of time.
fn holds(whole: &[Note], part: &[Note]) -> bool {
    let mut rest = whole;
    part.iter().all(|note| {
        let late = |n: &Note| n.on.second.0 > note.on.second.0 + GRAIN;
        let same = |n: &Note| {
            (n.key, n.channel) == (note.key, note.channel)
                && (n.on.second - note.on.second).0.abs() <= GRAIN
        };
        let found = rest.iter().take_while(|n| !late(n)).position(same);
        // Notes struck together may stand in another order: they are looked at again.
        let passed = rest.partition_point(|n| n.on.second.0 < note.on.second.0 - GRAIN);
        rest = rest.get(passed..).unwrap_or_default();
        found.is_some()
    })
}
