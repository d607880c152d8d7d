//! Whether phrases start where the drill asks.

use super::bar_position::BarPosition;
use super::chorus::Chorus;
use super::entry_timing::{Deviation, EntryTiming};
use super::landing::{LandingList, Outcome};
use super::take_so_far::TakeSoFar;
use crate::phrase::Phrase;
use crate::phrase::figures::EntryCount;
use crate::quantization::PositionClass;
use crate::stats::Share;
use crate::time::metre_map::POSITION_TOLERANCE;
use serde::Serialize;

/// The result of an entry goal.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EntryResult {
    /// Phrases that started at a wanted position.
    pub hits: Share,
    /// Where the others started, in order of pulse and class.
    pub others: Vec<EntryCount>,
    /// The nearest of them.
    pub nearest_miss: Option<Miss>,
}

/// A phrase that started elsewhere.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Miss {
    /// Bar of the form, from 1.
    pub bar: u32,
    /// The pulse where it started, from 1.
    pub pulse: u8,
    /// The class of its position.
    pub class: PositionClass,
    /// How late it was, in pulses, compared with where this player would have played the nearest wanted
    /// position.
    pub away_pulses: f64,
    /// The same in milliseconds.
    pub away_ms: f64,
}

/// Notes before and after a phrase start from which the player's timing is estimated. Origin: eight bars
/// of eighths before, two after; common practice, no source.
const NOTES_BEFORE: usize = 64;
const NOTES_AFTER: usize = 16;

impl EntryResult {
    pub(super) fn of(
        wanted: &[BarPosition],
        chorus: &Chorus,
        follows: bool,
        so_far: &TakeSoFar<'_>,
        landings: &mut LandingList,
    ) -> Self {
        landings.ask(wanted.iter().map(BarPosition::pulses));
        let mut result = Self { hits: Share::default(), others: Vec::new(), nearest_miss: None };
        for phrase in so_far.phrases {
            let bar = phrase.entry.bar_length;
            let near =
                phrase.entry.beat > chorus.start - bar && phrase.entry.beat < chorus.end + bar;
            if !near {
                continue;
            }
            let timing = timing(phrase, so_far);
            let exact = wanted.iter().any(|position| position.is(&phrase.entry));
            let aimed = if exact { None } else { aimed_at(phrase, wanted, timing, so_far) };
            let start = aimed.map_or(phrase.entry.pulse_start(), |aimed| aimed.notated);
            if !so_far.belongs(phrase, start, chorus, follows) {
                continue;
            }
            let hit = exact || aimed.is_some();
            result.hits.add(hit);
            let away = aimed.or_else(|| away(phrase, wanted, timing, so_far));
            match away {
                Some(away) => {
                    let outcome = if hit { Outcome::Hit } else { Outcome::Elsewhere };
                    landings.push(landing(away, so_far), outcome);
                }
                None => landings.push_played(&phrase.entry, hit),
            }
            if !hit {
                let (pulse, class) = (phrase.entry.pulse, phrase.entry.class);
                EntryCount { pulse, class, count: 1 }.add_to(&mut result.others);
                let miss = away.map(|away| miss(phrase, away, chorus));
                result.nearest_miss = nearer(result.nearest_miss, miss);
            }
        }
        result
    }

    pub(super) fn absorb(&mut self, next: &Self) {
        self.hits.absorb(&next.hits);
        next.others.iter().for_each(|other| other.add_to(&mut self.others));
        self.nearest_miss = nearer(self.nearest_miss, next.nearest_miss);
    }
}

/// The player's timing around a phrase start. Later phrases are not used, so that the result is final
/// once this one is over.
fn timing(phrase: &Phrase, so_far: &TakeSoFar<'_>) -> EntryTiming {
    let from = phrase.first_note.saturating_sub(NOTES_BEFORE);
    let to = (phrase.first_note + NOTES_AFTER).min(phrase.last_note);
    let notes = so_far.take.soloist.notes().get(from..=to).unwrap_or_default();
    EntryTiming::of(notes, so_far.lines, &so_far.take.tempo)
}

/// The wanted position that a phrase start was meant for, if that is likelier than any other.
fn aimed_at(
    phrase: &Phrase,
    wanted: &[BarPosition],
    timing: EntryTiming,
    so_far: &TakeSoFar<'_>,
) -> Option<Deviation> {
    let beat = phrase.entry.beat;
    timing.aimed_at(beat, so_far.take.tempo.tempo_at(beat)?, wanted, so_far.lines)
}

/// How far a phrase start is from the nearest wanted position.
fn away(
    phrase: &Phrase,
    wanted: &[BarPosition],
    timing: EntryTiming,
    so_far: &TakeSoFar<'_>,
) -> Option<Deviation> {
    let beat = phrase.entry.beat;
    let tempo = so_far.take.tempo.tempo_at(beat)?;
    wanted
        .iter()
        .filter_map(|position| timing.deviation(beat, tempo, *position, so_far.lines))
        .reduce(Deviation::nearer)
}

/// The start's position in the bar without the player's own lag and swing, in pulses after the bar line.
fn landing(away: Deviation, so_far: &TakeSoFar<'_>) -> f64 {
    let bar = so_far.lines.bar_at(away.notated + POSITION_TOLERANCE);
    let (pulse, _) = so_far.lines.pulse_of(bar.metre);
    (away.notated - bar.start).0 / pulse.0 + away.pulses
}

fn miss(phrase: &Phrase, away: Deviation, chorus: &Chorus) -> Miss {
    Miss {
        bar: chorus.bar_at(phrase.entry.pulse_start()).0,
        pulse: phrase.entry.pulse,
        class: phrase.entry.class,
        away_pulses: away.pulses,
        away_ms: away.pulses * away.pulse_seconds * 1e3,
    }
}

fn nearer(a: Option<Miss>, b: Option<Miss>) -> Option<Miss> {
    match (a, b) {
        (Some(a), Some(b)) if b.away_pulses.abs() < a.away_pulses.abs() => Some(b),
        (a, b) => a.or(b),
    }
}
