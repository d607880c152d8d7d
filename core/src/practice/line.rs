//! The unbroken line: one note value kept going through the form, whatever the pitches.

use super::chorus::Chorus;
use super::definition::NoteValue;
use super::fit::{DueNote, Matched, fit};
use super::landing::{LandingList, Outcome};
use super::take_so_far::TakeSoFar;
use crate::input::note::Note;
use crate::stats::Share;
use crate::stats::sample::Sample;
use crate::time::{Beat, BeatSpan};
use serde::Serialize;

/// The result of an unbroken-line goal.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LineResult {
    /// The note value, that of the last chorus if there are several.
    pub value: NoteValue,
    /// Notes played, of those due.
    pub places: Share,
    /// Notes played, of those due, by bar of the form.
    pub bars: Vec<Share>,
    /// Where the line broke off.
    pub breaks: Vec<Break>,
    /// The longest unbroken stretch, in bars.
    pub longest_bars: f64,
    /// Onsets that match no due note.
    pub off: u32,
    /// How late notes on the felt beat are, in milliseconds.
    pub lag_ms: Sample,
    /// The standard deviation from the player's own lag and swing, in milliseconds; `None` for fewer
    /// than three notes.
    pub unsteady_ms: Option<f64>,
    /// Unbroken stretches at the start and the end, in bars, which may join those of the choruses before and
    /// after.
    #[serde(skip)]
    pub(super) ends: (f64, f64),
    /// Sum of squares and degrees of freedom of `unsteady_ms`.
    #[serde(skip)]
    pub(super) scatter: (f64, f64),
}

/// A gap in a line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Break {
    /// The chorus of its round, from 1.
    pub chorus: u32,
    /// Bar of the form, from 1.
    pub bar: u32,
    /// Position of the first missing note, in pulses from 1 at the bar line.
    pub pulse: f64,
    /// How many notes are missing.
    pub places: u32,
}

/// An onset this close to a matched one is a grace note or a slip, and does not count as off the
/// subdivision: seconds, and a part of the note value. Origin: glitches of pitch trackers last under 30 ms;
/// common practice, no source.
const GRACE: (f64, f64) = (0.045, 0.4);

/// Tolerance for equal positions.
const SAME: f64 = 1e-6;

impl LineResult {
    /// The result in `chorus` so far.
    pub(super) fn of(
        value: NoteValue,
        (chorus, number): (&Chorus, u32),
        so_far: &TakeSoFar<'_>,
        landings: &mut LandingList,
    ) -> Self {
        let due = due_notes(value, chorus, so_far);
        let quarters = BeatSpan(value.quarters());
        // An onset just outside may belong to the neighbouring chorus.
        let onsets = onsets(so_far, chorus.start - quarters, chorus.end + quarters);
        let fitted = fit(&due, &onsets);
        let mut result = Self::empty(value);
        result.bars.resize(chorus.bars.len(), Share::default());
        let mut taken = vec![false; onsets.len()];
        let mut run = Run::default();
        for (note, hit) in due.iter().zip(&fitted) {
            if let Some(taken) = hit.and_then(|hit| taken.get_mut(hit.onset)) {
                *taken = true;
            }
            let outside = note.beat.0 < chorus.start.0 - SAME || note.beat.0 > chorus.end.0 - SAME;
            if outside || (hit.is_none() && !so_far.is_past(note.beat + quarters)) {
                continue;
            }
            result.places.add(hit.is_some());
            let (bar, form_bar) = chorus.bar_at(note.beat + BeatSpan(SAME));
            let pulses =
                |at: Beat| (at - form_bar.start).0 / so_far.lines.pulse_of(form_bar.metre).0.0;
            if bar == 1 {
                landings.ask(core::iter::once(pulses(note.beat)));
            }
            match hit.and_then(|hit| onsets.get(hit.onset)) {
                Some(onset) => landings.push(pulses(*onset), Outcome::Hit),
                None => landings.push(pulses(note.beat), Outcome::Missing),
            }
            let index = usize::try_from(bar).unwrap_or(usize::MAX).saturating_sub(1);
            if let Some(share) = result.bars.get_mut(index) {
                share.add(hit.is_some());
            }
            let length = note.quarters.min((chorus.end - note.beat).0) / form_bar.metre.bar().0;
            run.push(hit.is_some(), length);
            match (hit, result.breaks.last_mut()) {
                (Some(_), _) => {}
                (None, Some(open)) if run.missing > 1 => open.places += 1,
                (None, _) => {
                    let pulse = 1.0 + pulses(note.beat);
                    result.breaks.push(Break { chorus: number, bar, pulse, places: 1 });
                }
            }
        }
        result.longest_bars = run.longest;
        result.ends = (run.first.unwrap_or(run.now), run.now);
        result.time(&due, &fitted, chorus);
        for beat in off(&onsets, &taken, chorus, &due) {
            result.off = result.off.saturating_add(1);
            let bar = chorus.bar_at(beat).1;
            let pulse = so_far.lines.pulse_of(bar.metre).0;
            landings.push((beat - bar.start).0 / pulse.0, Outcome::Elsewhere);
        }
        result
    }

    fn empty(value: NoteValue) -> Self {
        Self {
            value,
            places: Share::default(),
            bars: Vec::new(),
            breaks: Vec::new(),
            longest_bars: 0.0,
            off: 0,
            lag_ms: Sample::default(),
            unsteady_ms: None,
            ends: (0.0, 0.0),
            scatter: (0.0, 0.0),
        }
    }

    /// Notes played, of those due and those off the subdivision: extra notes break the line too.
    pub fn kept(&self) -> Share {
        Share { of: self.places.of.saturating_add(self.off), ..self.places }
    }

    /// Adds the next chorus; `follows` if it continues without a gap.
    pub(super) fn absorb(&mut self, next: &Self, follows: bool) {
        let unbroken = |result: &Self| result.places.count == result.places.of;
        let joined = if follows { self.ends.1 + next.ends.0 } else { 0.0 };
        self.longest_bars = self.longest_bars.max(next.longest_bars).max(joined);
        let first = if unbroken(self) && follows { joined } else { self.ends.0 };
        let last = if unbroken(next) && follows { joined } else { next.ends.1 };
        self.ends = (first, last);
        self.value = next.value;
        self.places.absorb(&next.places);
        for (bar, next) in self.bars.iter_mut().zip(&next.bars) {
            bar.absorb(next);
        }
        self.breaks.extend(&next.breaks);
        self.off = self.off.saturating_add(next.off);
        self.lag_ms.absorb(&next.lag_ms);
        self.scatter = (self.scatter.0 + next.scatter.0, self.scatter.1 + next.scatter.1);
        self.unsteady_ms = unsteady(self.scatter);
    }

    /// Computes lag and steadiness of the matched notes.
    fn time(&mut self, due: &[DueNote], fitted: &[Option<Matched>], chorus: &Chorus) {
        let mut phases: Vec<Sample> = Vec::new();
        for (note, hit) in due.iter().zip(fitted) {
            let Some(hit) = hit.filter(|_| chorus.contains(note.beat + BeatSpan(SAME))) else {
                continue;
            };
            if phases.len() <= note.phase {
                phases.resize(note.phase + 1, Sample::default());
            }
            let late_ms = hit.late * 1e3;
            if let Some(phase) = phases.get_mut(note.phase) {
                phase.push(late_ms);
            }
            if note.on_beat {
                self.lag_ms.push(late_ms);
            }
        }
        self.scatter = phases.iter().fold((0.0, 0.0), |(squares, degrees), phase| {
            let free = f64::from(phase.count().saturating_sub(1));
            let sd = phase.sd().unwrap_or(0.0);
            (squares + sd * sd * free, degrees + free)
        });
        self.unsteady_ms = unsteady(self.scatter);
    }
}

fn unsteady((squares, degrees): (f64, f64)) -> Option<f64> {
    (degrees >= 2.0).then(|| (squares / degrees).sqrt())
}

/// Unbroken stretches, in bars.
#[derive(Default)]
struct Run {
    now: f64,
    longest: f64,
    /// The stretch at the start of the chorus, once it is over.
    first: Option<f64>,
    /// Notes missed in a row.
    missing: u32,
}

impl Run {
    fn push(&mut self, filled: bool, bars: f64) {
        if filled {
            self.now += bars;
            self.longest = self.longest.max(self.now);
            self.missing = 0;
        } else {
            self.first.get_or_insert(self.now);
            self.now = 0.0;
            self.missing = self.missing.saturating_add(1);
        }
    }
}

/// The notes due in a chorus, and one more on each side.
fn due_notes(value: NoteValue, chorus: &Chorus, so_far: &TakeSoFar<'_>) -> Vec<DueNote> {
    let quarters = value.quarters();
    let mut due = Vec::new();
    let mut step = -1.0;
    loop {
        let beat = Beat(chorus.start.0 + step * quarters).earlier(chorus.end);
        let tempo = so_far.take.tempo.tempo_at(beat);
        let Some(tempo) = tempo.filter(|_| beat.0 <= so_far.now.0 + quarters) else { break };
        let bar = chorus.bar_at(beat + BeatSpan(SAME)).1;
        let phase_in = |pulse: BeatSpan| phase(value, (beat - bar.start).0, pulse.0);
        let phase = phase_in(bar.metre.pulse());
        let on_beat = phase_in(so_far.lines.pulse_of(bar.metre).0) == 0;
        due.push(DueNote { beat, tempo, phase, on_beat, quarters });
        if beat.0 >= chorus.end.0 - SAME {
            break;
        }
        step += 1.0;
    }
    due
}

/// The index within its pulse of the note `into` quarters after a bar line; 0 if a pulse is not a whole
/// number of note values.
fn phase(value: NoteValue, into: f64, pulse: f64) -> usize {
    let inside = into.rem_euclid(pulse) / value.quarters();
    let up_to = |max: f64| (1..=16_u8).filter(|n| f64::from(*n) <= max + 1e-3).count();
    up_to(inside) % up_to(pulse / value.quarters()).max(1)
}

/// Onsets from `from` to before `to`; notes struck together are one.
fn onsets(so_far: &TakeSoFar<'_>, from: Beat, to: Beat) -> Vec<Beat> {
    let notes = so_far.take.soloist.notes();
    let first = notes.partition_point(|note| note.on.beat < from);
    let last = notes.partition_point(|note| note.on.beat < to);
    let notes: &[Note] = notes.get(first..last).unwrap_or_default();
    notes
        .chunk_by(|a, b| a.on.second == b.on.second)
        .filter_map(|struck| struck.first())
        .map(|note| note.on.beat)
        .collect()
}

/// Onsets of the chorus that match no due note, except grace notes.
fn off(onsets: &[Beat], taken: &[bool], chorus: &Chorus, due: &[DueNote]) -> Vec<Beat> {
    let Some(first) = due.first() else { return Vec::new() };
    let near = first.tempo.quarters_a_minute() * GRACE.0 / 60.0;
    let near = near.min(GRACE.1 * first.quarters);
    let is_grace = |beat: Beat| {
        let around = onsets.iter().zip(taken).skip_while(|(other, _)| (beat - **other).0 > near);
        around.take_while(|(other, _)| (**other - beat).0 <= near).any(|(_, taken)| *taken)
    };
    let unused = onsets.iter().zip(taken).filter(|(_, taken)| !**taken);
    let off = unused.filter(|(beat, _)| chorus.contains(**beat) && !is_grace(**beat));
    off.map(|(beat, _)| *beat).collect()
}
