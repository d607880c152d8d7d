//! Chord tones and guide tones of a line, counted by phrase and by take.
//!
//! Conventions: a note is compared with the chord at its notated position, so that one played a little
//! ahead of a change already has the new chord. Notes without a chord are counted separately.
//! - *On the beat*: on a pulse. *Strong*: on beat one or, if the pulses of a bar divide into two halves of
//!   two or more, on the first of the second half: 1 and 3 of 4/4 and 12/8, only beat one of 3/4 and 5/4
//!   (Longuet-Higgins and Lee 1984, weights of −1 and more).
//! - *Arrival*: the note that meets a change of chord: struck on it, or up to half a pulse before and held
//!   over it. It is compared with the new chord.
//! - *Start before the change*: a phrase start up to half a pulse before a change, as on the "and" of 4.
//!   If its note is a tone of the next chord, it is an anticipation and compared with that chord (common
//!   practice, no source).

use super::changes::Changes;
use super::pitch::PitchClass;
use super::symbol::Chord;
use crate::input::note::Note;
use crate::phrase::{AnalysisContext, Phrase};
use crate::quantization::{BarLines, MetricalPosition, PulseSubdivision};
use crate::stats::Share;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan};
use serde::Serialize;

/// Chord tones and guide tones among some notes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct ToneCounts {
    /// Chord tones.
    pub chord_tones: Share,
    /// Guide tones, of notes over chords that have them.
    pub guide_tones: Share,
}

impl ToneCounts {
    fn add(&mut self, key: u8, chord: &Chord) {
        let pitch = PitchClass::of(key);
        self.chord_tones.add(chord.tones.has(pitch));
        if !chord.guides.is_empty() {
            self.guide_tones.add(chord.guides.has(pitch));
        }
    }

    fn absorb(&mut self, other: &Self) {
        self.chord_tones.absorb(&other.chord_tones);
        self.guide_tones.absorb(&other.guide_tones);
    }
}

/// The counts of a phrase or a take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct HarmonyCounts {
    /// All notes.
    pub notes: ToneCounts,
    /// Notes on a beat.
    pub on_beats: ToneCounts,
    /// Notes on a strong beat.
    pub on_strong_beats: ToneCounts,
    /// Changes of chord within phrases.
    pub changes: u32,
    /// Notes that meet a change.
    pub arrivals: ToneCounts,
    /// Phrases whose first note is a tone of the next chord, of those that start just before a change.
    pub entries_before_change: Share,
    /// Notes without a chord.
    pub notes_without_chord: u32,
}

impl HarmonyCounts {
    fn absorb(&mut self, other: &Self) {
        self.notes.absorb(&other.notes);
        self.on_beats.absorb(&other.on_beats);
        self.on_strong_beats.absorb(&other.on_strong_beats);
        self.changes = self.changes.saturating_add(other.changes);
        self.arrivals.absorb(&other.arrivals);
        self.entries_before_change.absorb(&other.entries_before_change);
        self.notes_without_chord =
            self.notes_without_chord.saturating_add(other.notes_without_chord);
    }
}

/// The counts of a take and of each of its phrases.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct TakeHarmony {
    /// The counts of the whole take.
    pub take: HarmonyCounts,
    /// The counts of its phrases, in order.
    pub phrases: Vec<HarmonyCounts>,
}

/// Counts `phrases` over `changes`.
pub fn harmony(phrases: &[Phrase], context: AnalysisContext<'_>, changes: &Changes) -> TakeHarmony {
    let mut all = TakeHarmony::default();
    for phrase in phrases {
        let placed = |index: usize| {
            let onset = context.line.get(index)?;
            let note = Note { off: onset.off(context.notes), ..*context.notes.get(onset.note)? };
            let position = context.position(index)?;
            Some(Placed { note, position, meant: meant(&position) })
        };
        let placed: Vec<Placed> = context.onsets(phrase).filter_map(placed).collect();
        let counts = count(&placed, changes, context.lines);
        all.take.absorb(&counts);
        all.phrases.push(counts);
    }
    all
}

/// A note with its position.
struct Placed {
    note: Note,
    position: MetricalPosition,
    meant: Beat,
}

/// The notated position in the song; where it was played if it has none.
fn meant(position: &MetricalPosition) -> Beat {
    let notated = |pulses| position.bar_start + BeatSpan(pulses * position.pulse_length.0);
    position.notated().map_or(position.beat, notated)
}

fn count(notes: &[Placed], changes: &Changes, lines: BarLines<'_>) -> HarmonyCounts {
    let mut counts = HarmonyCounts::default();
    for (index, placed) in notes.iter().enumerate() {
        let coming = if index == 0 { next_chord(placed, changes) } else { None };
        let anticipated = coming.filter(|chord| chord.tones.has(PitchClass::of(placed.note.key)));
        if coming.is_some() {
            counts.entries_before_change.add(anticipated.is_some());
        }
        let here = changes.chord_at(placed.meant + POSITION_TOLERANCE);
        let Some(chord) = anticipated.or(here) else {
            counts.notes_without_chord = counts.notes_without_chord.saturating_add(1);
            continue;
        };
        counts.notes.add(placed.note.key, &chord);
        if placed.position.subdivision == PulseSubdivision::On {
            counts.on_beats.add(placed.note.key, &chord);
            if is_strong(placed, lines) {
                counts.on_strong_beats.add(placed.note.key, &chord);
            }
        }
    }
    meet_changes(notes, changes, &mut counts);
    counts
}

/// The next chord, if it follows just after a note.
fn next_chord(placed: &Placed, changes: &Changes) -> Option<Chord> {
    let next = changes.after(placed.meant + POSITION_TOLERANCE).first()?;
    let ahead = (next.at - placed.meant).0;
    let near = ahead <= placed.position.pulse_length.0 / 2.0 + POSITION_TOLERANCE.0;
    next.chord.filter(|_| near)
}

fn is_strong(placed: &Placed, lines: BarLines<'_>) -> bool {
    let pulses = lines.pulses_in(lines.bar_at(placed.meant + POSITION_TOLERANCE).metre);
    let second_half = pulses / 2 + 1;
    let halves = pulses >= 4 && pulses.is_multiple_of(2);
    placed.position.pulse == 1 || halves && placed.position.pulse == second_half
}

/// Counts the changes inside a phrase and the notes that meet them.
fn meet_changes(notes: &[Placed], changes: &Changes, counts: &mut HarmonyCounts) {
    let (Some(first), Some(last)) = (notes.first(), notes.last()) else { return };
    let ends = |placed: &Placed| placed.note.off.map(|off| off.beat);
    let end = notes.iter().filter_map(ends).fold(last.meant, Beat::later);
    // A phrase that starts on a change meets it.
    for change in changes.after(first.meant - POSITION_TOLERANCE) {
        let struck_by = change.at + POSITION_TOLERANCE;
        // A note that ends on the change does not reach it.
        let reached = end.later(last.meant + POSITION_TOLERANCE + POSITION_TOLERANCE);
        if struck_by >= reached {
            break;
        }
        counts.changes = counts.changes.saturating_add(1);
        let after = notes.partition_point(|placed| placed.meant <= struck_by);
        let Some(placed) = after.checked_sub(1).and_then(|at| notes.get(at)) else { continue };
        let ahead = (change.at - placed.meant).0;
        let struck = ahead <= POSITION_TOLERANCE.0;
        let held = ahead <= placed.position.pulse_length.0 / 2.0 + POSITION_TOLERANCE.0
            && ends(placed).is_none_or(|off| off > struck_by);
        if let Some(chord) = change.chord.filter(|_| struck || held) {
            counts.arrivals.add(placed.note.key, &chord);
        }
    }
}

#[cfg(test)]
mod tests;
