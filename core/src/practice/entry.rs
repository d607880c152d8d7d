//! Entry place: phrases begin where they are asked to.

use super::bar_position::BarPosition;
use super::chorus::Chorus;
use super::manner::{Away, Manner};
use super::take_so_far::{TakeSoFar, home};
use crate::figures::EntryCount;
use crate::phrase::Phrase;
use crate::quantization::PositionClass;
use crate::stats::Share;
use serde::Serialize;

/// What was heard of phrase starts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EntryResult {
    /// Phrases that began on a place asked for, of all.
    pub hits: Share,
    /// Where the others began, in order of pulse and class.
    pub others: Vec<EntryCount>,
    /// The one of them that was nearest.
    pub nearest_miss: Option<Miss>,
}

/// A phrase that began elsewhere.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Miss {
    /// Bar of the form, from 1.
    pub bar: u32,
    /// The pulse it began at, from 1.
    pub pulse: u8,
    /// The class of its place.
    pub class: PositionClass,
    /// How far it was from where this player would have played the nearest place asked for, in
    /// pulses: late is positive.
    pub away_pulses: f64,
    /// The same in milliseconds.
    pub away_ms: f64,
}

/// Notes before and after an entry that tell how its player places notes. Origin: two bars of
/// eighths after it, eight before; common practice, no source.
const NOTES_BEFORE: usize = 64;
const NOTES_AFTER: usize = 16;

impl EntryResult {
    pub(super) fn of(
        spots: &[BarPosition],
        chorus: &Chorus,
        follows: bool,
        heard: &TakeSoFar<'_>,
    ) -> Self {
        let mut result = Self { hits: Share::default(), others: Vec::new(), nearest_miss: None };
        for phrase in heard.phrases {
            // Far from the chorus, there is no need to look closer.
            let bar = phrase.entry.bar_length;
            let near =
                phrase.entry.beat > chorus.start - bar && phrase.entry.beat < chorus.end + bar;
            if !near {
                continue;
            }
            let manner = manner(phrase, heard);
            let read = spots.iter().any(|spot| spot.is(&phrase.entry));
            let aimed = if read { None } else { aimed_at(phrase, spots, manner, heard) };
            let home = aimed.map_or(home(&phrase.entry), |aimed| aimed.spot);
            if !heard.belongs(phrase, home, chorus, follows) {
                continue;
            }
            let hit = read || aimed.is_some();
            result.hits.add(hit);
            if !hit {
                count(&mut result.others, phrase.entry.pulse, phrase.entry.class, 1);
                let miss = miss(phrase, spots, manner, chorus, heard);
                result.nearest_miss = nearer(result.nearest_miss, miss);
            }
        }
        result
    }

    pub(super) fn absorb(&mut self, next: &Self) {
        self.hits.absorb(&next.hits);
        for other in &next.others {
            count(&mut self.others, other.pulse, other.class, other.count);
        }
        self.nearest_miss = nearer(self.nearest_miss, next.nearest_miss);
    }
}

/// The timing of the notes around an entry. Of those after it, only the phrase's own are taken, so
/// that nothing changes once it is over.
fn manner(phrase: &Phrase, heard: &TakeSoFar<'_>) -> Manner {
    let from = phrase.first_note.saturating_sub(NOTES_BEFORE);
    let to = (phrase.first_note + NOTES_AFTER).min(phrase.last_note);
    let notes = heard.take.heard.notes().get(from..=to).unwrap_or_default();
    Manner::of(notes, heard.lines, &heard.take.tempo)
}

/// The spot asked for that a phrase was meant to begin on, where that is likelier than any other.
fn aimed_at(
    phrase: &Phrase,
    spots: &[BarPosition],
    manner: Manner,
    heard: &TakeSoFar<'_>,
) -> Option<Away> {
    let beat = phrase.entry.beat;
    manner.aimed_at(beat, heard.take.tempo.tempo_at(beat)?, spots, heard.lines)
}

fn miss(
    phrase: &Phrase,
    spots: &[BarPosition],
    manner: Manner,
    chorus: &Chorus,
    heard: &TakeSoFar<'_>,
) -> Option<Miss> {
    let entry = &phrase.entry;
    let tempo = heard.take.tempo.tempo_at(entry.beat)?;
    let away =
        spots
            .iter()
            .filter_map(|spot| manner.away(entry.beat, tempo, *spot, heard.lines))
            .reduce(|near, next| if next.pulses.abs() < near.pulses.abs() { next } else { near })?;
    Some(Miss {
        bar: chorus.bar_at(home(entry)).0,
        pulse: entry.pulse,
        class: entry.class,
        away_pulses: away.pulses,
        away_ms: away.pulses * away.pulse_seconds * 1e3,
    })
}

fn nearer(a: Option<Miss>, b: Option<Miss>) -> Option<Miss> {
    match (a, b) {
        (Some(a), Some(b)) if b.away_pulses.abs() < a.away_pulses.abs() => Some(b),
        (a, b) => a.or(b),
    }
}

fn count(counts: &mut Vec<EntryCount>, pulse: u8, class: PositionClass, more: u32) {
    match counts.binary_search_by_key(&(pulse, class), |entry| (entry.pulse, entry.class)) {
        Ok(found) => {
            if let Some(entry) = counts.get_mut(found) {
                entry.count = entry.count.saturating_add(more);
            }
        }
        Err(gap) => counts.insert(gap, EntryCount { pulse, class, count: more }),
    }
}
