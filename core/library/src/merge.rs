//! Merges copies of takes: of a project and the library, of a project and its older copy, of two
//! instances with one origin.
//!
//! # The rules
//! - Takes are the same if and only if their ids are.
//! - If one copy has all notes of the other and more, it wins: the other was saved while playing.
//!   Of copies with the same notes, the one with more note ends wins.
//! - Of copies with the same notes and ends, the one with more anchors in its own beat grid wins: the
//!   user tapped for longer. A grid set by hand is a label.
//! - If each copy has notes that the other lacks, both stay. The shorter one gets a new id, which
//!   depends only on its notes.
//! - Each label keeps its latest value. Deletion is a label too, so that an older copy does not restore
//!   a deleted take.
//!
//! The order of merging does not matter, and merging again changes nothing.

use crate::error::LibraryError;
use crate::ids::id_of_version;
use crate::labels::Labels;
use crate::packed::{GRAIN, unpack};
use crate::stamp::Stamp;
use crate::take_header::{Origin, TakeState};
use overbar_core::input::note::Note;
use overbar_core::take::performance::Performance;
use overbar_core::take::{Take, TakeId};
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A packed take with its metadata, as in a project or the library.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredTake {
    /// Its id.
    pub id: TakeId,
    /// When it started.
    pub began: Stamp,
    /// Where it comes from.
    pub origin: Origin,
    /// Whether it is finished.
    pub state: TakeState,
    /// Its labels.
    pub labels: Labels,
    /// Its notes, packed by [`crate::packed`].
    pub packed: Arc<[u8]>,
}

impl StoredTake {
    /// Unpacks its notes.
    pub fn open(&self) -> Result<Performance, LibraryError> {
        unpack(&self.packed).map_err(|why| LibraryError::Unreadable(self.id, why))
    }

    /// The take with its corrections, on its beat grid.
    pub fn take(&self) -> Result<Take, LibraryError> {
        self.open().map(|notes| self.with_notes(notes.into()))
    }

    /// [`StoredTake::take`] for notes that are already unpacked.
    #[must_use]
    pub fn with_notes(&self, mut notes: Arc<Performance>) -> Take {
        let corrections = &self.labels.corrections.value;
        if notes.corrections != *corrections {
            Arc::make_mut(&mut notes).corrections.clone_from(corrections);
        }
        self.labels.set_grid(&mut notes);
        Take::new(self.id, notes)
    }
}

/// Merges two lists of takes by the rules above; sorted by date, then id.
///
/// # Errors
/// [`LibraryError::Unreadable`] if two copies differ and one cannot be read.
pub fn merge(
    one: Vec<StoredTake>,
    other: Vec<StoredTake>,
) -> Result<Vec<StoredTake>, LibraryError> {
    let mut merged: BTreeMap<TakeId, StoredTake> = BTreeMap::new();
    let mut waiting: Vec<StoredTake> = one.into_iter().chain(other).collect();
    while let Some(take) = waiting.pop() {
        let Some(known) = merged.remove(&take.id) else {
            merged.insert(take.id, take);
            continue;
        };
        let (take, version) = both(known, take)?;
        merged.insert(take.id, take);
        waiting.extend(version);
    }
    let mut all: Vec<StoredTake> = merged.into_values().collect();
    all.sort_by_key(|take| (take.began, take.id));
    Ok(all)
}

/// Merges two copies of a take; returns a second take if neither copy has all notes.
fn both(
    one: StoredTake,
    other: StoredTake,
) -> Result<(StoredTake, Option<StoredTake>), LibraryError> {
    let labels = one.labels.clone().later(other.labels.clone());
    let began = one.began.min(other.began);
    let origin = one.origin.min(other.origin);
    if one.packed == other.packed {
        // Finished wins over recording and recovered.
        let state = if one.state == TakeState::Finished { one.state } else { other.state };
        return Ok((StoredTake { labels, began, origin, state, ..one }, None));
    }
    let (take, other_take) = (one.open()?, other.open()?);
    let (notes, other_notes) = (all_notes(&take), all_notes(&other_take));
    let order = notes.len().cmp(&other_notes.len()).then(ended(&notes).cmp(&ended(&other_notes)));
    let order = order.then(anchors(&take).cmp(&anchors(&other_take)));
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
    let mut notes: Vec<Note> = take.soloist.notes().to_vec();
    notes.extend(take.ignored.notes());
    let by_key = |a: &Note, b: &Note| (a.key, a.channel).cmp(&(b.key, b.channel));
    notes.sort_by(|a, b| a.on.second.0.total_cmp(&b.on.second.0).then(by_key(a, b)));
    notes
}

fn anchors(take: &Performance) -> usize {
    take.own_grid.as_ref().map_or(0, |own| own.anchors.all().len())
}

fn ended(notes: &[Note]) -> usize {
    notes.iter().filter(|note| note.off.is_some()).count()
}

/// Whether every note of `part` is in `whole`. Both are sorted by time.
fn holds(whole: &[Note], part: &[Note]) -> bool {
    let mut rest = whole;
    part.iter().all(|note| {
        let late = |n: &Note| n.on.second.0 > note.on.second.0 + GRAIN;
        let same = |n: &Note| {
            (n.key, n.channel) == (note.key, note.channel)
                && (n.on.second - note.on.second).0.abs() <= GRAIN
        };
        let found = rest.iter().take_while(|n| !late(n)).position(same);
        // Simultaneous notes may be in another order, so they stay in `rest`.
        let passed = rest.partition_point(|n| n.on.second.0 < note.on.second.0 - GRAIN);
        rest = rest.get(passed..).unwrap_or_default();
        found.is_some()
    })
}
