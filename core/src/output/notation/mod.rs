//! Notates a take as a musician would: bars of notes, rests and ties on one staff.
//!
//! Onsets keep the positions from the quantizer, so swung eighths are written as eighths; the line of a
//! steady player is quantized once more as a whole (`steady`). A note lasts to the next one unless there is
//! a rest, and each bar adds up. Pitches are spelled, and phrases have brackets. [`musicxml`] writes the
//! result for notation programs.
//!
//! A line has one voice; notes under it are left out. Onsets too close for any grid become grace notes, and
//! are counted.

mod accidentals;
mod bars;
mod beams;
mod figures;
mod harmony;
mod layout;
mod marks;
mod musicxml;
mod note_xml;
mod onsets;
mod placed;
mod steady;
mod value;
mod values;
mod xml;

pub use accidentals::InForce;
pub use bars::{Sign, TiedNote, Tuplet, WrittenBar};
pub use beams::{Beam, beams};
pub use marks::{BarMarks, marks, rests_from};
pub use musicxml::{MusicXml, musicxml};
pub use value::{QUARTER, Ratio, Value};

use crate::analysis::take_analysis::TakeAnalysis;
use crate::melody::NoteRole;
use crate::output::words;
use crate::phrase::AnalysisContext;
use crate::theory::changes::Changes;
use crate::theory::instrument::InstrumentPitch;
use crate::theory::interval::Interval;
use crate::theory::key::{Key, KeySignature};
use crate::theory::name::SpelledPitch;
use crate::theory::spelling::spell;
use crate::time::Beat;
use core::ops::Range;
use onsets::place;
use placed::Placed;

/// How a take is notated.
#[derive(Debug, Clone, Copy, Default)]
pub struct WritingOptions {
    /// The key signature at concert pitch; `None` for the best-fitting key.
    pub signature: Option<KeySignature>,
    /// The interval from concert pitch to written pitch.
    pub transposition: Interval,
    /// Writes only the phrase with this index, from 0, in the bars it touches; `None` for the whole take.
    pub phrase: Option<usize>,
    /// Whether each phrase has its start in words, like "& of 4".
    pub starts_in_words: bool,
}

impl WritingOptions {
    /// Options for an instrument, in the best-fitting key.
    #[must_use]
    pub fn written_for(instrument: InstrumentPitch) -> Self {
        Self { transposition: instrument.interval(), ..Self::default() }
    }
}

/// A notated take.
#[derive(Debug, Clone, PartialEq)]
pub struct WrittenTake {
    /// Its bars, in order. If their numbers jump, a very long rest is left out.
    pub bars: Vec<WrittenBar>,
    /// The notation of each onset of the melody line, by index.
    pub onsets: Vec<WrittenOnset>,
    /// The written key signature.
    pub signature: KeySignature,
    /// The interval from concert pitch to written pitch.
    pub transposition: Interval,
    /// The clef.
    pub clef: Clef,
    /// The swing ratio, long eighth to short, if the take swings.
    pub swing: Option<f64>,
    /// Number of onsets too close for any grid, which are written as grace notes.
    pub crowded: usize,
    /// Number of notes under the line, which are left out.
    pub under: usize,
}

impl WrittenTake {
    /// Sentences about notes that could not be written as played.
    #[must_use]
    pub fn not_written(&self) -> Vec<String> {
        let notes = |count, one: &str, more: &str| match count {
            0 => None,
            1 => Some(format!("1 note {one}.")),
            _ => Some(format!("{count} notes {more}.")),
        };
        let graces = notes(
            self.crowded,
            "too close to the next is written as a grace note",
            "too close together are written as grace notes",
        );
        let under = notes(self.under, "under the line is left out", "under the line are left out");
        graces.into_iter().chain(under).collect()
    }
}

/// The notation of an onset.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WrittenOnset {
    /// Its pitch; `None` if it has no position and is not written.
    pub pitch: Option<SpelledPitch>,
    /// Grace notes before it.
    pub graces: Vec<SpelledPitch>,
    /// The phrase that starts with it, from 0.
    pub starts: Option<usize>,
    /// The phrase that ends with it, from 0.
    pub ends: Option<usize>,
    /// The start of its phrase in words, if asked for.
    pub start_in_words: Option<String>,
}

/// A clef.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clef {
    /// G on the second line.
    Treble,
    /// F on the fourth line.
    Bass,
}

/// With a mean key below this, a line is written in bass clef: middle C, the line between the clefs.
const BASS_BELOW: f64 = 60.0;

/// From this ratio on, a take swings. Origin: halfway, in ratio, from even eighths to 3 : 2, rounded.
const SWINGS: f64 = 1.2;

/// Notates a take. Without a beat grid it has no bars.
#[must_use]
pub fn written(
    take: &TakeAnalysis,
    changes: Option<&Changes>,
    options: WritingOptions,
) -> WrittenTake {
    let context = take.context();
    let mut placed = place(context);
    // Key and spelling come from the whole line, even if only one phrase is written.
    let line = sounding(&placed, context);
    let (onsets_here, notes_here) = shown(take, options.phrase);
    placed.retain(|placed| onsets_here.contains(&placed.onset));
    let bars = bars::fill(&placed, context);
    let keys: Vec<u8> = line.iter().map(|sounding| sounding.key).collect();
    let weights = line.iter().map(|sounding| (sounding.key, sounding.weight));
    let found = || Key::of(weights).map(|key| key.signature).unwrap_or_default();
    let concert = options.signature.unwrap_or_else(found);
    let chord = |index: usize| changes.and_then(|changes| changes.chord_at(line.get(index)?.beat));
    let (signature, interval) = options.transposition.read(concert);
    let names = spell(&keys, chord, Some(concert));
    let mut onsets = vec![WrittenOnset::default(); context.line.len()];
    let here = |sounding: &&Sounding| onsets_here.contains(&sounding.onset);
    for (name, sounding) in names.into_iter().zip(&line).filter(|(_, sounding)| here(sounding)) {
        let pitch = name.transposed(interval);
        let Some(onset) = onsets.get_mut(sounding.onset) else { continue };
        if sounding.is_grace {
            onset.graces.push(pitch);
        } else {
            onset.pitch = Some(pitch);
        }
    }
    for (index, phrase) in take.phrases().iter().enumerate() {
        let within = context.onsets(phrase);
        let shown =
            |onset: &usize| onsets.get(*onset).is_some_and(|written| written.pitch.is_some());
        let (first, last) = (within.clone().find(shown), within.rev().find(shown));
        if let Some(first) = first.and_then(|first| onsets.get_mut(first)) {
            first.starts = Some(index);
            first.start_in_words = options.starts_in_words.then(|| words::place(&phrase.entry));
        }
        if let Some(last) = last.and_then(|last| onsets.get_mut(last)) {
            last.ends = Some(index);
        }
    }
    let height = |sounding: &Sounding| f64::from(sounding.key) + f64::from(interval.semitones);
    let written_mean = mean(line.iter().filter(here).map(height));
    WrittenTake {
        bars,
        onsets,
        signature,
        transposition: interval,
        clef: if written_mean.is_some_and(|mean| mean < BASS_BELOW) {
            Clef::Bass
        } else {
            Clef::Treble
        },
        swing: take.feel().swing.ratio().filter(|ratio| *ratio >= SWINGS),
        crowded: placed.iter().filter(|placed| placed.crowded).count(),
        under: notes_here.filter(|note| context.roles.get(*note) == Some(&NoteRole::Under)).count(),
    }
}

/// The onsets and notes to write: those of a phrase, or all.
fn shown(take: &TakeAnalysis, phrase: Option<usize>) -> (Range<usize>, Range<usize>) {
    let context = take.context();
    match phrase.map(|index| take.phrases().get(index)) {
        None => (0..context.line.len(), 0..context.notes.len()),
        Some(None) => (0..0, 0..0),
        Some(Some(phrase)) => (context.onsets(phrase), phrase.first_note..phrase.last_note + 1),
    }
}

/// A note to spell.
struct Sounding {
    /// Its onset, or for a grace note the onset after it.
    onset: usize,
    is_grace: bool,
    key: u8,
    beat: Beat,
    /// Its length in beats, for finding the key.
    weight: f64,
}

/// All notes to write, in order.
fn sounding(placed: &[Placed], context: AnalysisContext<'_>) -> Vec<Sounding> {
    let mut line = Vec::new();
    for (index, at) in placed.iter().enumerate() {
        let Some(melody) = context.line.get(at.onset) else { continue };
        // A crowded onset is written before the next one that is not crowded.
        let home = placed.iter().skip(index).find(|later| !later.crowded);
        let Some(onset) = home.map(|home| home.onset) else { continue };
        let beat = at.played;
        let ornaments = (melody.first..melody.note)
            .filter(|note| context.roles.get(*note) == Some(&NoteRole::Ornament));
        for note in ornaments.filter_map(|note| context.notes.get(note)) {
            line.push(Sounding { onset, is_grace: true, key: note.key, beat, weight: 0.0 });
        }
        let Some(note) = context.notes.get(melody.note) else { continue };
        let weight = at.ended.map_or(0.0, |ended| (ended - beat).0.max(0.0));
        line.push(Sounding { onset, is_grace: at.crowded, key: note.key, beat, weight });
    }
    line
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0_u32), |(sum, count), value| (sum + value, count + 1));
    (count > 0).then(|| sum / f64::from(count))
}

#[cfg(test)]
mod tests;
