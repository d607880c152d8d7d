//! Follows live taps: a count-in of four, then a tap on every beat, every bar, or now and then.
//!
//! A tap that fits no beat is ignored, so a slip never bends the tempo. Four even taps in a row that fit no
//! beat restart the grid like a count-in; the number of beats in between is then in doubt.

use super::anchors::{Anchor, AnchorSource, Anchors, BarLine, beat_of};
use super::beat_grid::LONGEST_LEAD;
use super::count_in::{COUNT_IN, TapLine, fit_even_taps};
use super::kalman::{BeatState, tap_sd};
use super::{FARTHEST_SECOND, PulseNumber, nearest, real};
use crate::time::metre::Metre;
use crate::time::{Beat, Second, SecondSpan};

/// Taps closer than this are a double tap, in seconds: nobody taps 10 times a second with one hand or foot.
/// Common practice, no source.
const DOUBLE_TAP: f64 = 0.1;

/// The largest distance of a tap from its beat, as a share of the beat. Origin: a study of taps with human
/// errors on labelled solos.
const GATE: f64 = 0.35;

/// If only beat ones are tapped, the largest distance of a tap from one, as a share of the time since the
/// last. Origin: a tempo seldom changes by more within a bar; common practice, no source.
const NEAR_BEAT_ONE: f64 = 0.2;

/// If half a beat is within this many standard deviations, the beat of a tap is in doubt.
const DEVIATIONS: f64 = 3.0;

/// Beats without a tap after which the beat is lost.
const LOST_AFTER: f64 = 1_000.0;

/// The largest factor by which four taps that restart the grid may change the tempo. Common practice, no source.
const LARGEST_CHANGE: f64 = 1.5;

/// How a tap was understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tapped {
    /// A tap of an unfinished count-in.
    CountingIn,
    /// The last tap of a count-in: the next beat is beat one.
    CountedIn,
    /// It marks this beat.
    Beat(PulseNumber),
    /// Ignored: a second tap on the same beat.
    Double,
    /// Ignored: between beats.
    OffTheGrid,
    /// With the three before it, it restarts the grid: the next beat is beat one.
    Restarted,
    /// Ignored: an invalid time, or earlier than the previous tap.
    OutOfOrder,
}

/// Tap counts by outcome.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TapCounts {
    /// Taps on a beat, including count-ins.
    pub followed: u32,
    /// Second taps on the same beat.
    pub double: u32,
    /// Taps between beats.
    pub off_the_grid: u32,
    /// How often the grid was restarted.
    pub restarts: u32,
}

/// The last beat that was followed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FollowedBeat {
    /// Its number.
    pub pulse: PulseNumber,
    /// Its estimated time.
    pub at: Second,
    /// The current beat period.
    pub period: SecondSpan,
}

/// Follows taps.
#[derive(Debug, Clone)]
pub struct TapFollower {
    metre: Metre,
    /// How far the tapper taps behind the beat; most tap ahead of it, below 0.
    lag: SecondSpan,
    /// Taps since the last one that was followed.
    pending: Vec<f64>,
    last_tap: Option<f64>,
    followed: Option<(BeatState, PulseNumber)>,
    anchors: Vec<Anchor>,
    bar_lines: Vec<BarLine>,
    /// Every tap since the count-in was on a beat one.
    only_beat_ones: bool,
    /// A tap came after such a long gap that its beat is in doubt.
    count_in_doubt: bool,
    counts: TapCounts,
}

impl TapFollower {
    /// Starts without a tap, for a tapper who taps `lag` behind the beat: below 0 ahead of it.
    #[must_use]
    pub fn new(metre: Metre, lag: SecondSpan) -> Self {
        Self {
            metre,
            lag: if lag.0.is_finite() { lag } else { SecondSpan(0.0) },
            pending: Vec::new(),
            last_tap: None,
            followed: None,
            anchors: Vec::new(),
            bar_lines: Vec::new(),
            only_beat_ones: true,
            count_in_doubt: false,
            counts: TapCounts::default(),
        }
    }

    /// Adds the next tap.
    pub fn tap(&mut self, at: Second) -> Tapped {
        let at = at.0 - self.lag.0;
        if !at.is_finite() || at.abs() > FARTHEST_SECOND || self.last_tap.is_some_and(|t| at < t) {
            return Tapped::OutOfOrder;
        }
        let since = self.last_tap.map(|before| at - before);
        if since.is_some_and(|since| since < DOUBLE_TAP) {
            self.counts.double += 1;
            return Tapped::Double;
        }
        self.last_tap = Some(at);
        match self.followed {
            None => self.count_in(at),
            Some((state, pulse)) => self.follow(at, state, pulse),
        }
    }

    /// The last beat that was followed; `None` before the count-in.
    #[must_use]
    pub fn beat(&self) -> Option<FollowedBeat> {
        self.followed.map(|(state, pulse)| FollowedBeat {
            pulse,
            at: Second(state.time),
            period: SecondSpan(state.period),
        })
    }

    /// Taps of the count-in so far; four once it is complete.
    #[must_use]
    pub fn counted_in(&self) -> usize {
        if self.followed.is_some() { COUNT_IN } else { self.pending.len().min(COUNT_IN - 1) }
    }

    /// Whether the beat of the bar is in doubt; another count-in settles it.
    #[must_use]
    pub fn count_is_in_doubt(&self) -> bool {
        self.count_in_doubt
    }

    /// Whether the last tap is so long ago that the beat may have drifted; `false` before the count-in.
    #[must_use]
    pub fn is_without_taps(&self, now: Second) -> bool {
        let longest = real(LONGEST_LEAD) + 0.5;
        self.followed.is_some_and(|(state, _)| now.0 - state.time > longest * state.period)
    }

    /// The bar lines from which bars are counted.
    #[must_use]
    pub fn bar_lines(&self) -> &[BarLine] {
        &self.bar_lines
    }

    /// The song position of the last of them; `None` before the count-in.
    #[must_use]
    pub fn bar_line(&self) -> Option<Beat> {
        self.bar_lines.last().map(|line| beat_of(line.pulse, self.metre))
    }

    /// The metre.
    #[must_use]
    pub fn metre(&self) -> Metre {
        self.metre
    }

    /// Tap counts by outcome.
    #[must_use]
    pub fn counts(&self) -> TapCounts {
        self.counts
    }

    /// The taps as anchors; `None` before the count-in.
    #[must_use]
    pub fn anchors(&self) -> Option<Anchors> {
        Anchors::new(self.metre, self.bar_lines.clone(), self.anchors.clone()).ok()
    }

    fn count_in(&mut self, at: f64) -> Tapped {
        let Some(line) = self.fit_with(at) else { return Tapped::CountingIn };
        self.bar_lines = vec![BarLine { pulse: PulseNumber(0), bar: 1 }];
        self.start(line, 1, PulseNumber(-1), false);
        Tapped::CountedIn
    }

    fn follow(&mut self, at: f64, state: BeatState, pulse: PulseNumber) -> Tapped {
        let beats = (at - state.time) / state.period;
        if beats > LOST_AFTER {
            return self.off_the_grid(at, state, pulse);
        }
        let bars = self.whole_bars(beats, pulse);
        let count = bars.unwrap_or_else(|| nearest(beats).max(0));
        let expected = state.after(count);
        let off = (at - expected.time) / expected.period;
        let spread =
            (expected.time_sd().hypot(tap_sd(state.period)) / expected.period) * DEVIATIONS;
        // Half of the likeliest mistake: a bar, or a beat.
        let half = if bars.is_some() { real(self.pulses_in_bar()) / 2.0 } else { 0.5 };
        if bars.is_none() && off.abs() > spread.clamp(GATE, half) {
            return self.off_the_grid(at, state, pulse);
        }
        if count == 0 {
            self.counts.double += 1;
            return Tapped::Double;
        }
        let pulse = pulse + count;
        self.followed = Some((expected.observed(at, tap_sd(state.period)), pulse));
        self.only_beat_ones &= self.is_beat_one(pulse);
        self.count_in_doubt |= spread > half;
        self.anchor(at, pulse, spread > half);
        self.pending.clear();
        Tapped::Beat(pulse)
    }

    /// If only beat ones are tapped, the number of beats to the bar line near this tap: a tempo changes more
    /// readily than this habit.
    fn whole_bars(&self, beats: f64, pulse: PulseNumber) -> Option<i64> {
        let in_bar = self.pulses_in_bar();
        let line = self.bar_lines.last()?;
        let since = (pulse - line.pulse).rem_euclid(in_bar);
        let bars = nearest((beats + real(since)) / real(in_bar));
        let count = bars * in_bar - since;
        let near = (NEAR_BEAT_ONE * real(count)).min(real(in_bar) / 2.0);
        let is_bar = self.only_beat_ones && count > 1 && (beats - real(count)).abs() <= near;
        is_bar.then_some(count)
    }

    fn is_beat_one(&self, pulse: PulseNumber) -> bool {
        let since = self.bar_lines.last().map_or(1, |line| pulse - line.pulse);
        since.rem_euclid(self.pulses_in_bar()) == 0
    }

    fn pulses_in_bar(&self) -> i64 {
        i64::from(self.metre.pulses().max(1))
    }

    fn off_the_grid(&mut self, at: f64, state: BeatState, pulse: PulseNumber) -> Tapped {
        let beats_per_tap = |line: &TapLine| nearest(line.period / state.period).max(1);
        let is_steady = |line: &TapLine| {
            let ratio = line.period / real(beats_per_tap(line)) / state.period;
            (1.0 / LARGEST_CHANGE..=LARGEST_CHANGE).contains(&ratio)
        };
        let Some(line) = self.fit_with(at).filter(is_steady) else {
            self.counts.off_the_grid += 1;
            return Tapped::OffTheGrid;
        };
        self.counts.off_the_grid = self.counts.off_the_grid.saturating_sub(3);
        self.counts.restarts += 1;
        self.only_beat_ones = true;
        let apart = beats_per_tap(&line);
        let first = line.last - 3.0 * line.period;
        let between = nearest((first - state.time) / state.period).max(1);
        let last = pulse + (between + 3 * apart);
        let in_bar = self.pulses_in_bar();
        self.count_in_doubt = apart > 1 && apart.rem_euclid(in_bar) > 0;
        if apart == 1 {
            // Whole bars of the count-in are bars of the take, too.
            self.start_bar(last + (1 - 4_i64.div_euclid(in_bar) * in_bar));
        } else if apart.rem_euclid(in_bar) == 0 {
            // A tap every bar is on beat one.
            self.start_bar(last + -3 * apart);
        }
        self.start(line, apart, last, true);
        Tapped::Restarted
    }

    /// Adds a pending tap; returns the line through the last four if they are even.
    fn fit_with(&mut self, at: f64) -> Option<TapLine> {
        self.pending.push(at);
        let line = fit_even_taps(&self.pending);
        if self.pending.len() > COUNT_IN {
            self.pending.remove(0);
        }
        line
    }

    /// Starts to follow from four even taps, `apart` beats apart, the last of which is beat `pulse`.
    fn start(&mut self, line: TapLine, apart: i64, pulse: PulseNumber, in_doubt: bool) {
        let period = line.period / real(apart);
        self.followed = Some((BeatState::after_four(line.last, period), pulse));
        let taps = core::mem::take(&mut self.pending);
        let four = taps.iter().skip(taps.len().saturating_sub(COUNT_IN));
        let mut is_in_doubt = in_doubt;
        for (tap, back) in four.zip((0..4).rev()) {
            if self.anchor(*tap, pulse + -back * apart, is_in_doubt) {
                is_in_doubt = false;
            }
        }
    }

    /// Adds an anchor for a tap, unless it does not fit the last one.
    fn anchor(&mut self, at: f64, pulse: PulseNumber, in_doubt: bool) -> bool {
        let anchor = Anchor { at: Second(at), pulse, source: AnchorSource::Tap, in_doubt };
        self.counts.followed += 1;
        anchor.append_to(&mut self.anchors)
    }

    /// Starts a bar at this beat.
    fn start_bar(&mut self, pulse: PulseNumber) {
        let Some(line) = self.bar_lines.last().copied() else { return };
        let in_bar = self.pulses_in_bar();
        let beats = pulse - line.pulse;
        let bars = beats.div_euclid(in_bar) + i64::from(beats.rem_euclid(in_bar) > 0);
        if beats.rem_euclid(in_bar) > 0 {
            self.bar_lines.push(BarLine { pulse, bar: line.bar + bars });
        }
    }
}

/// Follows the taps of a finished take.
#[must_use]
pub fn follow(
    taps: impl IntoIterator<Item = Second>,
    metre: Metre,
    lag: SecondSpan,
) -> TapFollower {
    let mut follower = TapFollower::new(metre, lag);
    for tap in taps {
        follower.tap(tap);
    }
    follower
}
