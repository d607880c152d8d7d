//! The metre map: bars, from the time signatures of a host or file.
//!
//! The host's own bar starts and numbers are ignored, because several hosts report them wrongly. Bar 1
//! is at the song's start; earlier bars are 0, −1, …

use crate::time::metre::Metre;
use crate::time::{Beat, BeatSpan};
use serde::{Deserialize, Serialize};

/// How far a reported position may deviate from the true one. In real hosts positions jitter by about
/// 0.0002 beat.
pub const POSITION_TOLERANCE: BeatSpan = BeatSpan(0.01);

/// A stretch of bars in one metre.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Stretch {
    /// The bar line it begins on.
    pub start: Beat,
    /// Number of its first bar.
    pub bar: i64,
    /// The metre of its bars.
    pub metre: Metre,
}

/// A bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// Its number: 1 is the song's first.
    pub number: i64,
    /// Its bar line.
    pub start: Beat,
    /// Its metre.
    pub metre: Metre,
}

/// Metres by position. The first stretch extends backwards, the last one forwards without end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MetreMap {
    stretches: Vec<Stretch>,
}

impl MetreMap {
    /// One metre throughout, bar 1 at beat 0.
    pub fn new(metre: Metre) -> Self {
        Self { stretches: vec![Stretch { start: Beat(0.0), bar: 1, metre }] }
    }

    /// A map of these stretches; `None` if they are invalid.
    pub fn of(stretches: Vec<Stretch>) -> Option<Self> {
        Some(Self { stretches }).filter(Self::is_sound)
    }

    /// The stretches in order; never empty.
    pub fn stretches(&self) -> &[Stretch] {
        &self.stretches
    }

    fn stretch(&self, index: usize) -> Stretch {
        let common = Stretch { start: Beat(0.0), bar: 1, metre: Metre::COMMON };
        self.stretches.get(index).copied().unwrap_or(common)
    }

    fn stretch_at(&self, beat: Beat) -> Stretch {
        let after = self.stretches.partition_point(|s| s.start <= beat);
        self.stretch(after.saturating_sub(1))
    }

    /// The metre at `beat`.
    pub fn metre_at(&self, beat: Beat) -> Metre {
        self.stretch_at(beat).metre
    }

    /// The bar that contains `beat`.
    pub fn bar_at(&self, beat: Beat) -> Bar {
        let stretch = self.stretch_at(beat);
        let bars = ((beat - stretch.start).0 / stretch.metre.bar().0).floor();
        Bar {
            number: stretch.bar.saturating_add(whole(bars)),
            start: stretch.start + BeatSpan(bars * stretch.metre.bar().0),
            metre: stretch.metre,
        }
    }

    /// Bars from the start of bar 1 to `beat`, fractions included. The difference of two results is a
    /// length in bars even across a change of metre.
    pub fn bars_to(&self, beat: Beat) -> f64 {
        let bar = self.bar_at(beat);
        real(bar.number.saturating_sub(1)) + (beat - bar.start).0 / bar.metre.bar().0
    }

    /// Bar `number`.
    pub fn bar(&self, number: i64) -> Bar {
        let after = self.stretches.partition_point(|stretch| stretch.bar <= number);
        let stretch = self.stretch(after.saturating_sub(1));
        let bars = real(number.saturating_sub(stretch.bar));
        let start = stretch.start + BeatSpan(bars * stretch.metre.bar().0);
        Bar { number, start, metre: stretch.metre }
    }

    /// Sets `metre` at `now`, where playback continued from `previous`, the previous position with a known
    /// metre, and that metre still held at `before`.
    ///
    /// A change that was expected since `previous` and did not happen is dropped. A new change is placed on
    /// the last bar line between `before` and `now`, else on the last written beat between them, else at
    /// `now`. Returns from where bars changed, if they did.
    pub fn observe(
        &mut self,
        previous: Beat,
        before: Beat,
        now: Beat,
        metre: Metre,
    ) -> Option<Beat> {
        let here = now + POSITION_TOLERANCE;
        if self.metre_at(here) == metre {
            return None;
        }
        let expected = self.stretches.partition_point(|s| s.start <= previous + POSITION_TOLERANCE);
        if expected > 0
            && let Some(dropped) = self.stretches.get(expected).map(|s| s.start)
            && self.metre_at(previous + POSITION_TOLERANCE) == metre
        {
            self.stretches.truncate(expected);
            return Some(dropped);
        }
        let bar = self.bar_at(here);
        let earliest = before.0.min(now.0) - POSITION_TOLERANCE.0;
        let start = if bar.start.0 > earliest {
            bar.start
        } else {
            let unit = bar.metre.written_beat().0;
            let last = bar.start.0 + ((here.0 - bar.start.0) / unit).floor() * unit;
            if last > earliest { Beat(last) } else { now }
        };
        self.change(start, metre);
        Some(start)
    }

    /// Sets `metre` at `now`, where playback started. The change is assumed at the bar line before.
    pub fn assume(&mut self, now: Beat, metre: Metre) {
        let here = now + POSITION_TOLERANCE;
        if self.metre_at(here) != metre {
            self.change(self.bar_at(here).start, metre);
        }
    }

    /// Changes to `metre` at `start`, which becomes a bar line. Later changes are dropped.
    pub fn change(&mut self, start: Beat, metre: Metre) {
        let bar = self.bar_at(start);
        let number = if (start - bar.start).0 > POSITION_TOLERANCE.0 {
            bar.number.saturating_add(1)
        } else {
            bar.number
        };
        let keep = self.stretches.partition_point(|s| (start - s.start).0 > POSITION_TOLERANCE.0);
        self.stretches.truncate(keep);
        if self.stretches.last().is_none_or(|s| s.metre != metre || bar.start != start) {
            self.stretches.push(Stretch { start, bar: number, metre });
        }
    }

    /// Whether the stretches are finite, in order and not empty.
    pub fn is_sound(&self) -> bool {
        !self.stretches.is_empty()
            && self.stretches.iter().all(|s| s.start.0.is_finite() && s.bar.abs() < 1 << 40)
            && self.stretches.is_sorted_by(|a, b| a.start < b.start)
    }
}

#[expect(clippy::cast_possible_truncation, reason = "the cast saturates and bars are counted")]
fn whole(bars: f64) -> i64 {
    bars as i64
}

#[expect(clippy::cast_precision_loss, reason = "bar numbers stay far below 2^52")]
fn real(bars: i64) -> f64 {
    bars as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn metre(n: i32, d: i32) -> Metre {
        Metre::new(n, d).unwrap()
    }

    #[test]
    fn bars_before_the_start_count_down() {
        let map = MetreMap::new(Metre::COMMON);
        assert_eq!(map.bar_at(Beat(0.0)).number, 1);
        assert_eq!(map.bar_at(Beat(3.999)).number, 1);
        assert_eq!(map.bar_at(Beat(-0.001)).number, 0);
        assert_eq!(
            map.bar_at(Beat(-4.5)),
            Bar { number: -1, start: Beat(-8.0), metre: Metre::COMMON }
        );
        assert_eq!(map.bars_to(Beat(-2.0)), -0.5);
    }

    #[test]
    fn a_change_falls_on_the_bar_line_that_came_due() {
        let mut map = MetreMap::new(Metre::COMMON);
        // The host still said 4/4 at 7.9 and says 3/4 at 8.1: the change was at bar 3.
        assert_eq!(map.observe(Beat(7.9), Beat(7.9), Beat(8.1), metre(3, 4)), Some(Beat(8.0)));
        assert_eq!(map.bar_at(Beat(8.0)).number, 3);
        assert_eq!(map.bar_at(Beat(11.0)).number, 4);
        assert_eq!(map.observe(Beat(8.1), Beat(8.1), Beat(8.3), metre(3, 4)), None);
        assert_eq!(
            map.observe(Beat(13.99), Beat(13.99), Beat(14.0), metre(7, 8)),
            Some(Beat(14.0))
        );
        assert_eq!(map.bar_at(Beat(17.5)).number, 6);
        assert!((map.bars_to(Beat(17.5)) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_change_in_mid_bar_opens_a_new_bar() {
        let mut map = MetreMap::new(Metre::COMMON);
        assert_eq!(map.observe(Beat(9.9), Beat(9.9), Beat(10.05), metre(3, 4)), Some(Beat(10.0)));
        assert_eq!(map.bar_at(Beat(9.5)).number, 3);
        assert_eq!(map.bar_at(Beat(10.0)).number, 4);
    }

    #[test]
    fn what_a_host_shows_later_overrules_what_it_showed_before() {
        let mut map = MetreMap::new(Metre::COMMON);
        map.observe(Beat(15.9), Beat(15.9), Beat(16.0), metre(3, 4));
        // The song was edited: bar 5 is in 4/4 after all.
        map.observe(Beat(16.9), Beat(16.9), Beat(17.0), Metre::COMMON);
        assert_eq!(map.metre_at(Beat(30.0)), Metre::COMMON);
        assert!(map.is_sound());
    }

    #[test]
    fn a_start_in_mid_song_keeps_the_bar_lines_it_knows() {
        let mut map = MetreMap::new(Metre::COMMON);
        map.assume(Beat(17.3), metre(3, 4));
        assert_eq!(
            map.bar_at(Beat(17.3)),
            Bar { number: 5, start: Beat(16.0), metre: metre(3, 4) }
        );
        assert_eq!(map.bar_at(Beat(15.9)).metre, Metre::COMMON);
    }

    #[test]
    fn a_change_that_was_expected_and_did_not_come_is_dropped() {
        let mut map = MetreMap::new(Metre::COMMON);
        map.change(Beat(16.0), metre(3, 4));
        map.change(Beat(19.0), metre(7, 8));
        // Another song, in 4/4 throughout: the host reports it a while after beat 16.
        let changed = map.observe(Beat(15.8), Beat(16.3), Beat(16.4), Metre::COMMON);
        assert_eq!(changed, Some(Beat(16.0)));
        assert_eq!(map, MetreMap::new(Metre::COMMON));
    }

    #[test]
    fn jitter_of_a_host_does_not_move_a_bar_line() {
        let mut map = MetreMap::new(Metre::COMMON);
        assert_eq!(map.observe(Beat(7.9), Beat(7.9), Beat(7.9998), metre(3, 4)), Some(Beat(8.0)));
        assert_eq!(map.bar_at(Beat(8.0)).number, 3);
    }
}
