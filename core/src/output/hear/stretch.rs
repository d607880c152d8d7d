//! The part of a take to play back, and where it starts and ends.

use crate::input::note::Note;
use crate::input::pairing::NoteLine;
use crate::quantization::BarLines;
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::time::{Beat, BeatSpan, Second};

/// The part of a felt beat by which a note may be ahead of a bar line and still belong to the bar
/// after it: the margin of [`BarLines::metrical_position`].
const EARLY: f64 = 1.0 / 8.0;

/// The part of a take to play back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stretch {
    /// All of it.
    Take,
    /// The notes from one index to another, both included: a phrase.
    Notes {
        /// Index of the first note.
        first: usize,
        /// Index of the last note.
        last: usize,
    },
    /// Whole bars, both included. A note shortly ahead of the first bar line counts as on it.
    Bars {
        /// The first bar.
        first: i64,
        /// The last bar.
        last: i64,
    },
}

/// A stretch of a take in seconds.
#[derive(Debug)]
pub(super) struct Bounds<'a> {
    pub notes: &'a [Note],
    /// Time 0 of the schedule.
    pub start: Second,
    /// The end of a loop. Nothing sounds beyond it.
    pub end: Second,
    /// Where a note without an end is released.
    pub release: Second,
}

impl Stretch {
    /// A copy of at most `limit` notes of this stretch with their grid, and the same stretch of that copy: for
    /// the current take, which keeps growing.
    #[must_use]
    pub fn excerpt(
        self,
        take: &Performance,
        settings: &Settings,
        limit: usize,
    ) -> (Performance, Self) {
        let notes = take.soloist.notes();
        let (from, to, stretch) = match self {
            Self::Take => (0, notes.len(), self),
            Self::Notes { first, last } => {
                let last_here = last.saturating_sub(first);
                (first, last.saturating_add(1), Self::Notes { first: 0, last: last_here })
            }
            Self::Bars { first, last } => {
                let lines = BarLines::new(&take.metres, settings);
                // A bar more at each end, for notes ahead of a bar line and for the input latency.
                let (from, to) = (first.saturating_sub(1), last.saturating_add(2));
                let (from, to) = (lines.bar(from).start, lines.bar(to).start);
                let from = notes.partition_point(|note| note.on.beat < from);
                (from, notes.partition_point(|note| note.on.beat < to), self)
            }
        };
        let to = to.min(from.saturating_add(limit)).min(notes.len());
        let heard = notes.get(from..to).unwrap_or_default().to_vec();
        let mut excerpt = Performance::new(take.metres.clone());
        excerpt.soloist = NoteLine::of(heard, *take.soloist.oddities());
        excerpt.tempo = take.tempo.clone();
        (excerpt, stretch)
    }

    /// Its notes and times in `take`; `None` if it has no notes, or for bars without a beat grid.
    pub(super) fn bounds<'a>(
        self,
        take: &'a Performance,
        settings: &Settings,
    ) -> Option<Bounds<'a>> {
        let notes = take.soloist.notes();
        let lines = BarLines::new(&take.metres, settings);
        match self {
            Self::Take => of_notes(notes, take, lines, settings),
            Self::Notes { first, last } => {
                let notes = notes.get(first..=last.min(notes.len().checked_sub(1)?))?;
                of_notes(notes, take, lines, settings)
            }
            Self::Bars { first, last } => {
                let early = early(lines, lines.bar(first).start);
                let line = |bar| take.tempo.second_at(lines.bar(bar).start - early);
                let (start, end) = (line(first)?, line(last.saturating_add(1))?);
                let played = |note: &Note| played(note, settings);
                let from = notes.partition_point(|note| played(note) < start);
                let to = notes.partition_point(|note| played(note) < end);
                let notes = notes.get(from..to).filter(|notes| !notes.is_empty())?;
                Some(Bounds { notes, start, end, release: end })
            }
        }
    }
}

/// From the bar line before the first of `notes` to the one after the end of the last; without a beat grid,
/// from the first attack to the last end.
fn of_notes<'a>(
    notes: &'a [Note],
    take: &Performance,
    lines: BarLines<'_>,
    settings: &Settings,
) -> Option<Bounds<'a>> {
    let latency = settings.latency.0;
    let from = played(notes.first()?, settings);
    let last = played(notes.last()?, settings);
    let ends = notes.iter().map(|note| note.off.unwrap_or(note.on).second.0 - latency);
    let to = Second(ends.fold(last.0, f64::max));
    let without_grid = Bounds { notes, start: from, end: to, release: to };
    let at = |second| take.tempo.beat_at(second);
    let (Some(first), Some(last), Some(over)) = (at(from), at(last), at(to)) else {
        return Some(without_grid);
    };
    let opens = lines.bar_at(first + early(lines, first));
    // A last note held a little over the bar line does not lengthen the loop by a bar.
    let closes = lines.bar_at((over - early(lines, over)).later(last)).number.max(opens.number);
    let line = |beat| take.tempo.second_at(beat);
    let (Some(opening), Some(closing)) =
        (line(opens.start), line(lines.bar(closes.saturating_add(1)).start))
    else {
        return Some(without_grid);
    };
    let start = opening.0.min(from.0);
    let end = Second(start + (closing - opening).0);
    Some(Bounds { notes, start: Second(start), end, release: to })
}

/// When a note was played: its attack minus the input latency.
pub(super) fn played(note: &Note, settings: &Settings) -> Second {
    Second(note.on.second.0 - settings.latency.0)
}

fn early(lines: BarLines<'_>, beat: Beat) -> BeatSpan {
    let (pulse, _) = lines.pulse_of(lines.bar_at(beat).metre);
    BeatSpan(pulse.0 * EARLY)
}
