//! The intervals of a line and what is remembered at each: the ground that features stand on.
//!
//! Interval i lies before onset i + 1. What is remembered at i is from before it, unless its name
//! says otherwise. Intervals grow one by one; each holds what was remembered before it, so that
//! the newest can be taken back. What is far back can be forgotten.

use super::gate::LONGEST_GATE;
use super::window::Window;
use crate::melody::TimedOnset;

/// What tells how long a rest is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RestBy {
    /// The ends of notes.
    #[default]
    NoteEnds,
    /// Onsets alone, where note ends mean nothing: what an interval has over half the usual one.
    Onsets,
}

/// How many intervals the medians look over.
pub const RECENT: usize = 16;
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
    /// Logarithm of it; see [`log_length`].
    pub log_gap: f64,
    /// How much of it the note before it sounded, in seconds.
    pub held: f64,
    /// In how many of the last sixteen, this one among them, the note sounded no longer than a
    /// fixed gate may.
    pub short: u8,
    /// The rest in it, in seconds.
    pub rest: f64,
    /// Logarithm of the rest.
    pub log_rest: f64,
    /// The same, no more than is remembered.
    pub remembered: f64,
    /// Median of the intervals before.
    pub median: f64,
    /// The plain rule finds a boundary here: a long rest against the median. It serves memory
    /// only; the ear's own decisions and corrections by hand do not feed back.
    pub rule: bool,
    /// What is remembered from before it.
    pub memory: Memory,
    /// Keys of the onsets on both sides.
    pub keys: (f64, f64),
    /// When the onset after it came, in seconds.
    pub ended_at: f64,
}

/// What is remembered of a player.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Memory {
    /// Sum and count of the rests that the rule found, with those it starts from.
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
    /// What is remembered after it.
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

/// The intervals of a line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Intervals {
    by: RestBy,
    each: Vec<Interval>,
    /// How many before those have been forgotten.
    forgotten: usize,
    /// Median of the sixteen intervals on each side, at each interval that has not been forgotten.
    around: Vec<f64>,
    /// What a whole take says.
    ahead: Ahead,
}

/// What is known of a whole take before any of it is judged.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ahead {
    /// Onsets until the rule's next boundary, at each interval.
    until: Vec<u32>,
    /// Sum and count of all remembered rests that the rule found, with those it starts from.
    usual_of_all: (f64, f64),
}

impl Ahead {
    /// Takes in the newest of `intervals`, one after the other.
    pub fn hear(&mut self, intervals: &Intervals) {
        if let Some(newest) = intervals.each.last() {
            self.until.push(u32::from(newest.rule));
            self.usual_of_all = newest.memory_after().usual;
        }
    }

    /// All intervals have been taken in.
    pub fn look_back(&mut self) {
        let mut until = 1_u32;
        for interval in self.until.iter_mut().rev() {
            let rule = core::mem::replace(interval, until) > 0;
            until = if rule { 1 } else { until.saturating_add(1) };
        }
    }
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
    /// None yet.
    #[must_use]
    pub fn new(by: RestBy) -> Self {
        Self { by, ..Self::default() }
    }

    /// Takes the interval between the onset at second `before`, of key `key`, and `after`, whose
    /// length has this logarithm ([`log_length`]), where the lengths before it have this `median`.
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

    /// What is known of the whole take, before its first interval comes.
    pub fn look_ahead(&mut self, ahead: Ahead) {
        self.ahead = ahead;
    }

    /// What it knew of the whole take.
    #[must_use]
    pub fn into_ahead(self) -> Ahead {
        self.ahead
    }

    /// Looks on both sides of each interval that has not been forgotten: of those that have
    /// sixteen on each side, or as many as the take has. `around` are [`Intervals::medians_around`].
    pub fn look_around(&mut self, around: Vec<f64>) {
        self.around = around;
    }

    /// Medians of the sixteen intervals on each side of each that has not been forgotten.
    #[must_use]
    pub fn medians_around(&self) -> Vec<f64> {
        let gap = |i: usize| self.each.get(i).map(|interval| interval.gap);
        let mut window = Window::of((1..=RECENT).filter_map(gap));
        let mut medians = Vec::with_capacity(self.each.len());
        for i in 0..self.each.len() {
            medians.push(median(&window));
            // From those around this one to those around the next.
            window.exchange(gap(i + 1), gap(i));
            window.exchange(i.checked_sub(RECENT).and_then(gap), gap(i + 1 + RECENT));
        }
        medians
    }

    /// Lengths of the last sixteen.
    pub(super) fn recent(&self) -> Window {
        Window::of(self.each.iter().rev().take(RECENT).map(|interval| interval.gap))
    }

    /// How many have been taken.
    #[must_use]
    pub fn count(&self) -> usize {
        self.forgotten + self.each.len()
    }

    /// How many have been taken and not been forgotten.
    #[must_use]
    pub fn known(&self) -> usize {
        self.each.len()
    }

    /// Takes back all but the first `count`. `false` where so much has been forgotten that the
    /// next one could not be judged as it was.
    pub fn take_back_to(&mut self, count: usize) -> bool {
        let known = count.saturating_sub(self.forgotten);
        self.each.truncate(known);
        self.forgotten == 0 || known >= RECENT
    }

    /// Forgets all but the newest `kept`.
    pub fn forget_all_but(&mut self, kept: usize) {
        let forgotten = self.each.len().saturating_sub(kept);
        self.each.drain(..forgotten);
        self.forgotten += forgotten;
    }

    /// Interval `i`, if there is one.
    #[must_use]
    pub fn get(&self, i: usize) -> Option<&Interval> {
        self.each.get(i.checked_sub(self.forgotten)?)
    }

    /// The rest in interval `i`, in seconds; 0 where there is none.
    #[must_use]
    pub fn rest(&self, i: usize) -> f64 {
        self.get(i).map_or(0.0, |interval| interval.rest)
    }

    /// Intervals from `from` up to before `to`, as many as there are.
    pub fn between(&self, from: usize, to: usize) -> impl ExactSizeIterator<Item = &Interval> {
        let index = |i: usize| i.saturating_sub(self.forgotten).min(self.each.len());
        self.each.get(index(from)..index(to)).unwrap_or_default().iter()
    }

    /// Onsets from interval `i` until the rule's next boundary, in a whole take.
    #[must_use]
    pub fn until(&self, i: usize) -> f64 {
        self.ahead.until.get(i).map_or(1.0, |until| f64::from(*until))
    }

    /// Sum and count of all remembered rests that the rule found in a whole take, with those it
    /// starts from.
    #[must_use]
    pub fn usual_of_all(&self) -> (f64, f64) {
        self.ahead.usual_of_all
    }

    /// Keys of the onsets up to the one before interval `i`, the last sixteen.
    pub fn keys_before(&self, i: usize) -> impl ExactSizeIterator<Item = f64> {
        self.between((i + 1).saturating_sub(RECENT), i + 1).map(|n| n.keys.0)
    }

    /// Median of the sixteen intervals on each side of `i`, in a whole take.
    #[must_use]
    pub fn median_around(&self, i: usize) -> f64 {
        let known = i.checked_sub(self.forgotten).and_then(|i| self.around.get(i));
        known.copied().unwrap_or(FIRST_MEDIAN)
    }
}

/// The median of lengths, as intervals are held against it.
pub(super) fn median(lengths: &Window) -> f64 {
    lengths.median().map_or(FIRST_MEDIAN, |median| median.min(LARGEST_MEDIAN))
}
