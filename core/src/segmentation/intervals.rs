//! The intervals of a melody, each with a memory of the player: the input of the features.
//!
//! Interval i is before onset i + 1. Each holds the memory before it, so that the newest ones can be
//! removed again. Old ones can be dropped.

use super::window::Window;
use crate::melody::TimedOnset;

/// How a rest is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RestBy {
    /// From note end to onset.
    #[default]
    NoteEnds,
    /// From onsets alone, where note ends mean nothing: an interval minus half the median one.
    Onsets,
}

/// How many intervals a median is taken over.
pub const RECENT: usize = 16;
/// The longest fixed gate of a controller, in seconds. Origin: pads use 20 to 60 ms; doubled.
pub(super) const LONGEST_GATE: f64 = 0.12;
/// The median without any interval, and the largest one used, in seconds.
const FIRST_MEDIAN: f64 = 0.2;
const LARGEST_MEDIAN: f64 = 0.8;
/// Longer rests are remembered as this, in seconds.
const LONGEST_REMEMBERED: f64 = 1.2;
/// Prior of the player's usual rest, in seconds, and its weight in rests.
const FIRST_USUAL: f64 = 0.67;
const FIRST_USUAL_COUNT: f64 = 4.0;
/// Prior of the number of onsets in a phrase, and the rate at which it adapts to the player.
const FIRST_LENGTH: f64 = 12.0;
const LENGTH_RATE: f64 = 0.1;

/// One interval. Logarithms are natural, of seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// From onset to onset, in seconds.
    pub gap: f64,
    /// Its logarithm; see [`log_length`].
    pub log_gap: f64,
    /// How long the note at its start sounded in it, in seconds.
    pub held: f64,
    /// In how many of the last sixteen, including this one, the note sounded no longer than
    /// [`LONGEST_GATE`].
    pub short: u8,
    /// The rest in it, in seconds.
    pub rest: f64,
    pub log_rest: f64,
    /// The log rest as remembered: at most that of [`LONGEST_REMEMBERED`].
    pub remembered: f64,
    /// Median of the intervals before.
    pub median: f64,
    /// The plain rule finds a boundary here: a rest that is long against the median. The memory is fed by this
    /// rule, not by the models' decisions or corrections.
    pub rule: bool,
    pub memory: Memory,
    /// Keys of the onsets on both sides.
    pub keys: (f64, f64),
    /// The onset after it, in seconds.
    pub ended_at: f64,
}

/// What is known of the player.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Memory {
    /// Sum and count of the log rests that the rule found, including the prior.
    pub usual: (f64, f64),
    /// Onsets since the rule's last boundary.
    pub since: f64,
    /// Logarithm of the onsets in the usual phrase.
    pub usual_length: f64,
}

impl Default for Memory {
    fn default() -> Self {
        Self {
            usual: (FIRST_USUAL_COUNT * FIRST_USUAL.ln(), FIRST_USUAL_COUNT),
            since: 1.0,
            usual_length: FIRST_LENGTH.ln(),
        }
    }
}

impl Interval {
    fn memory_after(&self) -> Memory {
        let Memory { usual, since, usual_length } = self.memory;
        if self.rule {
            Memory {
                usual: (usual.0 + self.remembered, usual.1 + 1.0),
                since: 1.0,
                usual_length: usual_length + LENGTH_RATE * (since.ln() - usual_length),
            }
        } else {
            Memory { since: since + 1.0, ..self.memory }
        }
    }
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Intervals {
    by: RestBy,
    each: Vec<Interval>,
    /// How many before `each` were dropped.
    dropped: usize,
    /// Median of the sixteen intervals on each side of each kept interval.
    around: Vec<f64>,
    whole: WholeStats,
}

/// Statistics of a whole melody.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WholeStats {
    /// Onsets until the rule's next boundary, at each interval.
    until: Vec<u32>,
    /// Sum and count of all log rests that the rule found, including the prior.
    usual_of_all: (f64, f64),
}

impl WholeStats {
    /// Adds the newest of `intervals`; to be called after each one.
    pub fn add_newest(&mut self, intervals: &Intervals) {
        if let Some(newest) = intervals.each.last() {
            self.until.push(u32::from(newest.rule));
            self.usual_of_all = newest.memory_after().usual;
        }
    }

    /// Completes it after the last interval.
    pub fn finish(&mut self) {
        let mut until = 1_u32;
        for interval in self.until.iter_mut().rev() {
            let rule = core::mem::replace(interval, until) > 0;
            until = if rule { 1 } else { until.saturating_add(1) };
        }
    }
}

/// Logarithm of a rest of `seconds`.
pub fn log_rest(seconds: f64) -> f64 {
    seconds.clamp(0.1, 10.0).ln()
}

/// Logarithm of a length of `seconds`.
pub fn log_length(seconds: f64) -> f64 {
    seconds.clamp(0.01, 4.0).ln()
}

impl Intervals {
    /// No intervals yet.
    pub fn new(by: RestBy) -> Self {
        Self { by, ..Self::default() }
    }

    /// Adds the interval between the onset at second `before`, of key `key`, and `after`. `log_gap` is its
    /// [`log_length`], `median` the median of the intervals before.
    pub fn push(
        &mut self,
        (before, key): (f64, f64),
        after: &TimedOnset,
        log_gap: f64,
        median: f64,
    ) {
        let gap = after.at - before;
        let rest = match self.by {
            RestBy::NoteEnds => after.opens - after.before_ended,
            RestBy::Onsets => gap - 0.5 * median,
        }
        .max(0.0);
        let log_rest = log_rest(rest);
        let held = after.before_ended.min(after.at) - before;
        let is_short = |held: f64| u8::from(held <= LONGEST_GATE);
        let leaves = self.each.len().checked_sub(RECENT).and_then(|i| self.each.get(i));
        let others = self.each.last().map_or(0, |last| last.short);
        let others = others.saturating_sub(leaves.map_or(0, |leaves| is_short(leaves.held)));
        self.each.push(Interval {
            gap,
            log_gap,
            held,
            short: others + is_short(held),
            rest,
            log_rest,
            remembered: log_rest.min(LONGEST_REMEMBERED.ln()),
            median,
            rule: rest >= (1.5 * median).clamp(0.25, 1.0) - 0.001,
            memory: self.each.last().map_or_else(Memory::default, Interval::memory_after),
            keys: (key, after.key),
            ended_at: after.at,
        });
    }

    /// Sets the statistics of the whole melody.
    pub fn set_whole(&mut self, whole: WholeStats) {
        self.whole = whole;
    }

    /// The statistics of the whole melody.
    pub fn into_whole(self) -> WholeStats {
        self.whole
    }

    /// Sets [`Intervals::medians_around`]. They are right for intervals with sixteen others on each
    /// side, or as many as the melody has.
    pub fn set_medians_around(&mut self, around: Vec<f64>) {
        self.around = around;
    }

    /// The median of the sixteen intervals on each side of each kept interval.
    pub fn medians_around(&self) -> Vec<f64> {
        let gap = |i: usize| self.each.get(i).map(|interval| interval.gap);
        let mut window = Window::of((1..=RECENT).filter_map(gap));
        let mut medians = Vec::with_capacity(self.each.len());
        for i in 0..self.each.len() {
            medians.push(median(&window));
            // Slides to the next interval.
            window.exchange(gap(i + 1), gap(i));
            window.exchange(i.checked_sub(RECENT).and_then(gap), gap(i + 1 + RECENT));
        }
        medians
    }

    /// Lengths of the last sixteen intervals.
    pub(super) fn recent(&self) -> Window {
        Window::of(self.each.iter().rev().take(RECENT).map(|interval| interval.gap))
    }

    /// How many were pushed.
    pub fn count(&self) -> usize {
        self.dropped + self.each.len()
    }

    pub fn kept(&self) -> usize {
        self.each.len()
    }

    /// Removes all but the first `count`. Returns `false` if too few are kept to judge the next one as before.
    pub fn truncate(&mut self, count: usize) -> bool {
        let known = count.saturating_sub(self.dropped);
        self.each.truncate(known);
        self.dropped == 0 || known >= RECENT
    }

    /// Drops all but the newest `kept`.
    pub fn keep_last(&mut self, kept: usize) {
        let dropped = self.each.len().saturating_sub(kept);
        self.each.drain(..dropped);
        self.dropped += dropped;
    }

    pub fn get(&self, i: usize) -> Option<&Interval> {
        self.each.get(i.checked_sub(self.dropped)?)
    }

    /// The rest in interval `i`, in seconds; 0 if there is no such interval.
    pub fn rest(&self, i: usize) -> f64 {
        self.get(i).map_or(0.0, |interval| interval.rest)
    }

    /// The kept intervals from `from` to before `to`.
    pub fn between(&self, from: usize, to: usize) -> impl ExactSizeIterator<Item = &Interval> {
        let index = |i: usize| i.saturating_sub(self.dropped).min(self.each.len());
        self.each.get(index(from)..index(to)).unwrap_or_default().iter()
    }

    /// Onsets from interval `i` until the rule's next boundary, in a whole melody.
    pub fn until(&self, i: usize) -> f64 {
        self.whole.until.get(i).map_or(1.0, |until| f64::from(*until))
    }

    /// Sum and count of all log rests that the rule found in a whole melody, including the prior.
    pub fn usual_of_all(&self) -> (f64, f64) {
        self.whole.usual_of_all
    }

    /// Keys of the last sixteen onsets up to the one before interval `i`.
    pub fn keys_before(&self, i: usize) -> impl ExactSizeIterator<Item = f64> {
        self.between((i + 1).saturating_sub(RECENT), i + 1).map(|n| n.keys.0)
    }

    /// Median of the sixteen intervals on each side of `i`, in a whole melody.
    pub fn median_around(&self, i: usize) -> f64 {
        let known = i.checked_sub(self.dropped).and_then(|i| self.around.get(i));
        known.copied().unwrap_or(FIRST_MEDIAN)
    }
}

/// The median that intervals are compared with.
pub(super) fn median(lengths: &Window) -> f64 {
    lengths.median().map_or(FIRST_MEDIAN, |median| median.min(LARGEST_MEDIAN))
}
