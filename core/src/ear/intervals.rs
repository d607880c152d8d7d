//! The intervals of a take and what is remembered at each: the ground that features stand on.
//!
//! Interval i lies before onset i + 1. What is remembered at i is from before it, unless its name
//! says otherwise.

use crate::note::Note;
use crate::stats;

/// An onset: notes struck together are one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Onset {
    /// Index of its first note.
    pub note: usize,
    /// When, in seconds.
    pub at: f64,
    /// Latest end of its notes, in seconds; infinite while one sounds.
    pub end: f64,
    /// Its highest key.
    pub key: f64,
}

/// The onsets of `notes`.
#[must_use]
pub fn onsets(notes: &[Note]) -> Vec<Onset> {
    let mut onsets: Vec<Onset> = Vec::new();
    for (index, note) in notes.iter().enumerate() {
        let end = note.off.map_or(f64::INFINITY, |off| off.second.0);
        let key = f64::from(note.key);
        match onsets.last_mut() {
            Some(last) if last.at == note.on.second.0 => {
                last.end = last.end.max(end);
                last.key = last.key.max(key);
            }
            _ => onsets.push(Onset { note: index, at: note.on.second.0, end, key }),
        }
    }
    onsets
}

/// What tells how long a rest is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RestBy {
    /// The ends of notes.
    NoteEnds,
    /// Onsets alone, where note ends mean nothing: what an interval has over half the usual one.
    Onsets,
}

/// How many intervals the medians look over.
const RECENT: usize = 16;
/// The median of no interval, and the greatest that is used, in seconds.
const FIRST_MEDIAN: f64 = 0.2;
const LARGEST_MEDIAN: f64 = 0.8;
/// A remembered rest counts at most this much, in seconds.
const LONGEST_REMEMBERED: f64 = 1.2;
/// The usual rest of a player before any was heard, in seconds, and for how many it stands.
const FIRST_USUAL: f64 = 0.67;
const FIRST_USUAL_COUNT: f64 = 4.0;
/// Onsets in the usual phrase before any was heard, and how fast that follows the player.
const FIRST_LENGTH: f64 = 12.0;
const LENGTH_RATE: f64 = 0.1;

/// What is known at one interval. Logarithms are natural, of seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Its length, in seconds.
    pub gap: f64,
    /// The rest in it, in seconds.
    pub rest: f64,
    /// Logarithm of the rest.
    pub log_rest: f64,
    /// The same, no more than is remembered.
    pub remembered: f64,
    /// Median of the intervals before.
    pub median: f64,
    /// The plain rule finds a boundary here.
    pub rule: bool,
    /// Sum and count of the rests that the rule found before, with those it starts from.
    pub usual: (f64, f64),
    /// Onsets since the rule's last boundary.
    pub since: f64,
    /// Logarithm of the onsets in the usual phrase.
    pub usual_length: f64,
    /// Keys of the onsets on both sides.
    pub keys: (f64, f64),
}

/// All intervals of a take.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Intervals {
    each: Vec<Interval>,
    keys: Vec<f64>,
    /// Onsets until the rule's next boundary, at each interval.
    until: Vec<f64>,
    /// Sum and count of all remembered rests that the rule found.
    usual_of_all: (f64, f64),
}

/// Logarithm of a rest of `seconds`.
#[must_use]
pub fn log_rest(seconds: f64) -> f64 {
    seconds.clamp(0.1, 10.0).ln()
}

/// Logarithm of a length of `seconds`.
#[must_use]
pub fn log_length(seconds: f64) -> f64 {
    seconds.clamp(0.01, 4.0).ln()
}

impl Intervals {
    /// Of a take with these onsets.
    #[must_use]
    pub fn of(onsets: &[Onset], by: RestBy) -> Self {
        let mut intervals =
            Self { keys: onsets.iter().map(|o| o.key).collect(), ..Self::default() };
        let mut usual = (FIRST_USUAL_COUNT * FIRST_USUAL.ln(), FIRST_USUAL_COUNT);
        let mut since = 1.0_f64;
        let mut usual_length = FIRST_LENGTH.ln();
        for (before, after) in onsets.iter().zip(onsets.iter().skip(1)) {
            let gap = after.at - before.at;
            let median = intervals.median_before(intervals.each.len());
            let rest = match by {
                RestBy::NoteEnds => after.at - before.end,
                RestBy::Onsets => gap - 0.5 * median,
            }
            .max(0.0);
            let log_rest = log_rest(rest);
            let remembered = log_rest.min(LONGEST_REMEMBERED.ln());
            let rule = rest >= (1.5 * median).clamp(0.25, 1.0) - 0.001;
            let keys = (before.key, after.key);
            intervals.each.push(Interval {
                gap,
                rest,
                log_rest,
                remembered,
                median,
                rule,
                usual,
                since,
                usual_length,
                keys,
            });
            if rule {
                usual = (usual.0 + remembered, usual.1 + 1.0);
                usual_length += LENGTH_RATE * (since.ln() - usual_length);
                since = 1.0;
            } else {
                since += 1.0;
            }
        }
        intervals.usual_of_all = usual;
        let mut until = 1.0;
        for interval in intervals.each.iter().rev() {
            intervals.until.push(until);
            until = if interval.rule { 1.0 } else { until + 1.0 };
        }
        intervals.until.reverse();
        intervals
    }

    /// Interval `i`, if there is one.
    #[must_use]
    pub fn get(&self, i: usize) -> Option<&Interval> {
        self.each.get(i)
    }

    /// The rest in interval `i`, in seconds; 0 where there is none.
    #[must_use]
    pub fn rest(&self, i: usize) -> f64 {
        self.get(i).map_or(0.0, |interval| interval.rest)
    }

    /// Intervals from `from` up to before `to`, as many as there are.
    pub fn between(&self, from: usize, to: usize) -> impl Iterator<Item = &Interval> {
        self.each.iter().take(to).skip(from)
    }

    /// Onsets from interval `i` until the rule's next boundary.
    #[must_use]
    pub fn until(&self, i: usize) -> f64 {
        self.until.get(i).copied().unwrap_or(1.0)
    }

    /// Sum and count of all remembered rests that the rule found, with those it starts from.
    #[must_use]
    pub fn usual_of_all(&self) -> (f64, f64) {
        self.usual_of_all
    }

    /// Keys of the onsets up to the one before interval `i`, the last sixteen.
    pub fn keys_before(&self, i: usize) -> impl ExactSizeIterator<Item = f64> {
        self.keys.iter().take(i + 1).skip((i + 1).saturating_sub(RECENT)).copied()
    }

    fn median_before(&self, i: usize) -> f64 {
        median(self.between(i.saturating_sub(RECENT), i).map(|n| n.gap))
    }

    /// Median of the sixteen intervals on each side of `i`.
    #[must_use]
    pub fn median_around(&self, i: usize) -> f64 {
        let before = self.between(i.saturating_sub(RECENT), i);
        median(before.chain(self.between(i + 1, i + 1 + RECENT)).map(|n| n.gap))
    }
}

fn median(lengths: impl Iterator<Item = f64>) -> f64 {
    let mut lengths: Vec<f64> = lengths.collect();
    stats::median(&mut lengths).map_or(FIRST_MEDIAN, |median| median.min(LARGEST_MEDIAN))
}
