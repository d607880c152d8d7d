//! Follows taps as they come: a count-in of four, and then a tap a beat, a bar, or now and then.
//!
//! A tap that fits no beat is ignored, so that a slip never bends the tempo. Four even taps in a row that
//! fit no beat set the grid anew, as a count-in does; how many beats were in between is then in doubt.

use super::anchors::{Anchor, AnchorSource, Anchors, BarLine, beat_of, check_pair};
use super::beat_grid::LONGEST_LEAD;
use super::count_in::{COUNT_IN, EvenRow, even_row};
use super::kalman::{BeatState, tap_sd};
use super::{FARTHEST_SECOND, PulseNumber, nearest, real};
use crate::time::metre::Metre;
use crate::time::{Beat, Second, SecondSpan};

/// Two taps this near are one, in seconds: nobody taps 10 a second with one hand or foot. Common
/// practice, no source.
const DOUBLE_TAP: f64 = 0.1;

/// A tap farther from its beat than this is none of it, as a share of the beat. Origin: a study of taps
/// with a person's errors on labelled solos.
const GATE: f64 = 0.35;

/// Of one who taps beat ones alone, a tap this near to one is meant for it, as a share of the time since
/// the last one. Origin: a tempo seldom changes by more within a bar; common practice, no source.
const NEAR_A_BAR: f64 = 0.2;

/// Where half a beat is within so many standard deviations, it is in doubt which beat a tap is of.
const SURE: f64 = 3.0;

/// After so many beats without a tap nothing is known of the beat any more.
const LOST_AFTER: f64 = 1_000.0;

/// The tempo may change by this factor where four taps set the grid anew. Common practice, no source.
const LARGEST_CHANGE: f64 = 1.5;

/// What became of a tap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tapped {
    /// One of the taps that are to count in.
    CountingIn,
    /// The last tap of a count-in: the next beat is beat one.
    CountedIn,
    /// It is this beat.
    Beat(PulseNumber),
    /// Ignored: twice for one beat.
    Double,
    /// Ignored: between two beats.
    OffTheGrid,
    /// With the three before it, it sets the grid anew: the next beat is beat one.
    SetAnew,
    /// Ignored: no moment, or before the tap that came before it.
    OutOfOrder,
}

/// How many taps were what.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TapCounts {
    /// On a beat, a count-in among them.
    pub followed: u32,
    /// Twice for one beat.
    pub double: u32,
    /// Between two beats.
    pub off_the_grid: u32,
    /// How often the grid was set anew.
    pub set_anew: u32,
}

/// A beat that was followed last.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FollowedBeat {
    /// Which it is.
    pub pulse: PulseNumber,
    /// When it was meant.
    pub at: Second,
    /// How long a beat is now.
    pub period: SecondSpan,
}

/// Follows taps; see the module.
#[derive(Debug, Clone)]
pub struct TapFollower {
    metre: Metre,
    /// How late the tapper's taps come, against the beat; most come early.
    late: SecondSpan,
    /// Taps since the last one that was followed.
    row: Vec<f64>,
    last_tap: Option<f64>,
    followed: Option<(BeatState, PulseNumber)>,
    anchors: Vec<Anchor>,
    bar_lines: Vec<BarLine>,
    /// Every tap since the count-in was a beat one.
    only_ones: bool,
    /// A tap came after so long that it is in doubt which beat it is of.
    count_in_doubt: bool,
    counts: TapCounts,
}

impl TapFollower {
    /// Follows taps in this metre, of a tapper whose taps come `late` against the beat: below 0 if early.
    #[must_use]
    pub fn new(metre: Metre, late: SecondSpan) -> Self {
        Self {
            metre,
            late: if late.0.is_finite() { late } else { SecondSpan(0.0) },
            row: Vec::new(),
            last_tap: None,
            followed: None,
            anchors: Vec::new(),
            bar_lines: Vec::new(),
            only_ones: true,
            count_in_doubt: false,
            counts: TapCounts::default(),
        }
    }

    /// Takes the next tap.
    pub fn tap(&mut self, at: Second) -> Tapped {
        let at = at.0 - self.late.0;
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

    /// The beat that was followed last; `None` before the count-in.
    #[must_use]
    pub fn beat(&self) -> Option<FollowedBeat> {
        self.followed.map(|(state, pulse)| FollowedBeat {
            pulse,
            at: Second(state.time),
            period: SecondSpan(state.period),
        })
    }

    /// How many taps of the count-in have come; four and more after it.
    #[must_use]
    pub fn counted_in(&self) -> usize {
        if self.followed.is_some() { COUNT_IN } else { self.row.len().min(COUNT_IN - 1) }
    }

    /// Whether it is in doubt which beat of the bar it is, until taps count in anew.
    #[must_use]
    pub fn count_is_in_doubt(&self) -> bool {
        self.count_in_doubt
    }

    /// Whether no tap has come for so long that the beat may have moved away; `false` before the count-in.
    #[must_use]
    pub fn is_without_taps(&self, now: Second) -> bool {
        let longest = real(LONGEST_LEAD) + 0.5;
        self.followed.is_some_and(|(state, _)| now.0 - state.time > longest * state.period)
    }

    /// Bar lines that bars are counted from.
    #[must_use]
    pub fn bar_lines(&self) -> &[BarLine] {
        &self.bar_lines
    }

    /// The last of them, as a position in the song; `None` before the count-in.
    #[must_use]
    pub fn bar_line(&self) -> Option<Beat> {
        self.bar_lines.last().map(|line| beat_of(line.pulse, self.metre))
    }

    /// The metre.
    #[must_use]
    pub fn metre(&self) -> Metre {
        self.metre
    }

    /// How many taps were what.
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
        let Some(row) = self.row_with(at) else { return Tapped::CountingIn };
        self.bar_lines = vec![BarLine { pulse: PulseNumber(0), bar: 1 }];
        self.begin(row, 1, PulseNumber(-1), false);
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
        let spread = (expected.time_sd().hypot(tap_sd(state.period)) / expected.period) * SURE;
        // Half of what it might be mistaken by: a bar, or a beat.
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
        self.only_ones &= self.is_beat_one(pulse);
        self.count_in_doubt |= spread > half;
        self.anchor(at, pulse, spread > half);
        self.row.clear();
        Tapped::Beat(pulse)
    }

    /// How many beats there are to the bar line that a tap is near, of one who taps beat ones alone: a
    /// tempo changes more readily than such a habit.
    fn whole_bars(&self, beats: f64, pulse: PulseNumber) -> Option<i64> {
        let in_bar = self.pulses_in_bar();
        let line = self.bar_lines.last()?;
        let since = (pulse - line.pulse).rem_euclid(in_bar);
        let bars = nearest((beats + real(since)) / real(in_bar));
        let count = bars * in_bar - since;
        let near = (NEAR_A_BAR * real(count)).min(real(in_bar) / 2.0);
        let is_bar = self.only_ones && count > 1 && (beats - real(count)).abs() <= near;
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
        let beats_a_tap = |row: &EvenRow| nearest(row.period / state.period).max(1);
        let steady = |row: &EvenRow| {
            let ratio = row.period / real(beats_a_tap(row)) / state.period;
            (1.0 / LARGEST_CHANGE..=LARGEST_CHANGE).contains(&ratio)
        };
        let Some(row) = self.row_with(at).filter(steady) else {
            self.counts.off_the_grid += 1;
            return Tapped::OffTheGrid;
        };
        self.counts.off_the_grid = self.counts.off_the_grid.saturating_sub(3);
        self.counts.set_anew += 1;
        self.only_ones = true;
        let apart = beats_a_tap(&row);
        let first = row.last - 3.0 * row.period;
        let between = nearest((first - state.time) / state.period).max(1);
        let last = pulse + (between + 3 * apart);
        let in_bar = self.pulses_in_bar();
        self.count_in_doubt = apart > 1 && apart.rem_euclid(in_bar) > 0;
        if apart == 1 {
            // Whole bars of the count-in are bars of the take, too.
            self.open_bar(last + (1 - 4_i64.div_euclid(in_bar) * in_bar));
        } else if apart.rem_euclid(in_bar) == 0 {
            // Who taps once a bar taps beat one.
            self.open_bar(last + -3 * apart);
        }
        self.begin(row, apart, last, true);
        Tapped::SetAnew
    }

    /// The even row that the taps so far make with this one, if they do.
    fn row_with(&mut self, at: f64) -> Option<EvenRow> {
        self.row.push(at);
        let row = even_row(&self.row);
        if self.row.len() > COUNT_IN {
            self.row.remove(0);
        }
        row
    }

    /// Begins to follow from an even row, so many beats apart, whose last tap is beat `pulse`.
    fn begin(&mut self, row: EvenRow, apart: i64, pulse: PulseNumber, in_doubt: bool) {
        let period = row.period / real(apart);
        self.followed = Some((BeatState::after_four(row.last, period), pulse));
        let taps = core::mem::take(&mut self.row);
        let four = taps.iter().skip(taps.len().saturating_sub(COUNT_IN));
        let mut is_in_doubt = in_doubt;
        for (tap, back) in four.zip((0..4).rev()) {
            if self.anchor(*tap, pulse + -back * apart, is_in_doubt) {
                is_in_doubt = false;
            }
        }
    }

    /// Keeps a tap as an anchor, unless no grid can go through it.
    fn anchor(&mut self, at: f64, pulse: PulseNumber, in_doubt: bool) -> bool {
        let anchor = Anchor { at: Second(at), pulse, source: AnchorSource::Tap, in_doubt };
        self.counts.followed += 1;
        let fits = self.anchors.last().is_none_or(|last| check_pair(0, last, &anchor).is_ok());
        if fits {
            self.anchors.push(anchor);
        }
        fits
    }

    /// Lets a bar begin at this beat.
    fn open_bar(&mut self, pulse: PulseNumber) {
        let Some(line) = self.bar_lines.last().copied() else { return };
        let in_bar = self.pulses_in_bar();
        let beats = pulse - line.pulse;
        let bars = beats.div_euclid(in_bar) + i64::from(beats.rem_euclid(in_bar) > 0);
        if beats.rem_euclid(in_bar) > 0 {
            self.bar_lines.push(BarLine { pulse, bar: line.bar + bars });
        }
    }
}

/// The taps of a take that is over, followed.
#[must_use]
pub fn follow(
    taps: impl IntoIterator<Item = Second>,
    metre: Metre,
    late: SecondSpan,
) -> TapFollower {
    let mut follower = TapFollower::new(metre, late);
    for tap in taps {
        follower.tap(tap);
    }
    follower
}
