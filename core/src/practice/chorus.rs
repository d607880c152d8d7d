//! Choruses: where in the song the form starts and ends.

use super::definition::DrillForm;
use crate::quantization::BarLines;
use crate::time::metre::Metre;
use crate::time::metre_map::{Bar, POSITION_TOLERANCE};
use crate::time::{Beat, BeatSpan};

/// Once through the form.
#[derive(Debug, Clone, PartialEq)]
pub struct Chorus {
    /// Number of its first bar in the song.
    pub first_bar: i64,
    /// Its bars; never empty.
    pub bars: Vec<Bar>,
    /// Its first bar line.
    pub start: Beat,
    /// The bar line after its last bar.
    pub end: Beat,
}

impl Chorus {
    /// The chorus that starts with the song's bar `first_bar`.
    pub fn new(lines: BarLines<'_>, first_bar: i64, bars: u32) -> Self {
        let number = |bar: u32| first_bar.saturating_add(i64::from(bar));
        Self {
            first_bar,
            bars: (0..bars.max(1)).map(|bar| lines.bar(number(bar))).collect(),
            start: lines.bar(first_bar).start,
            end: lines.bar(number(bars.max(1))).start,
        }
    }

    /// The bar of the form at `beat`, with its number from 1. Before the chorus it is the first bar,
    /// after it the last.
    pub fn bar_at(&self, beat: Beat) -> (u32, Bar) {
        let after = self.bars.partition_point(|bar| (bar.start - beat).0 <= 1e-9).max(1);
        let bar = self.bars.get(after - 1).copied();
        let common = Bar { number: self.first_bar, start: self.start, metre: Metre::COMMON };
        let bar = bar.unwrap_or(common);
        (u32::try_from(after).unwrap_or(u32::MAX), bar)
    }

    pub fn contains(&self, beat: Beat) -> bool {
        beat >= self.start && beat < self.end
    }

    /// Length of its first bar.
    pub fn bar_length(&self) -> BeatSpan {
        self.bar_at(self.start).1.metre.bar()
    }
}

/// The song's bar in which the first chorus starts if playing starts at `from`.
pub fn first_chorus(lines: BarLines<'_>, form: &DrillForm, from: Beat, count_in: u32) -> i64 {
    let joined = lines.bar_at(from + POSITION_TOLERANCE);
    let on_its_line = (from - joined.start).0 <= POSITION_TOLERANCE.0;
    let whole = if on_its_line { joined.number } else { joined.number.saturating_add(1) };
    let earliest = whole.saturating_add(i64::from(count_in));
    let Some(first) = form.first_bar.map(i64::from) else { return earliest };
    if earliest <= first {
        return first;
    }
    let bars = i64::from(form.bars.max(1));
    earliest.saturating_add(first.saturating_sub(earliest).rem_euclid(bars))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::take::settings::Pulse;
    use crate::time::metre_map::MetreMap;

    #[test]
    fn a_chorus_goes_through_changes_of_metre() {
        let mut metres = MetreMap::new(Metre::COMMON);
        metres.change(Beat(8.0), Metre::new(3, 4).unwrap());
        metres.change(Beat(14.0), Metre::COMMON);
        let lines = BarLines { metres: &metres, beat_one_offset: 0, pulse: Pulse::Host };
        let chorus = Chorus::new(lines, 2, 4);
        assert_eq!((chorus.start, chorus.end), (Beat(4.0), Beat(18.0)));
        let starts: Vec<f64> = chorus.bars.iter().map(|bar| bar.start.0).collect();
        assert_eq!(starts, [4.0, 8.0, 11.0, 14.0]);
        for (beat, bar) in [(3.0, 1), (4.0, 1), (7.9, 1), (11.0, 3), (17.9, 4), (30.0, 4)] {
            assert_eq!(chorus.bar_at(Beat(beat)).0, bar, "{beat}");
        }
        for number in -3..12 {
            let bar = lines.bar(number);
            assert_eq!(lines.bar_at(bar.start + BeatSpan(0.1)).number, number);
            assert_eq!(lines.bar_at(bar.start).start, bar.start);
        }
    }

    #[test]
    fn the_player_may_set_beat_one() {
        let metres = MetreMap::new(Metre::COMMON);
        let lines = BarLines { metres: &metres, beat_one_offset: 2, pulse: Pulse::Host };
        assert_eq!(Chorus::new(lines, 1, 2).start, Beat(2.0));
    }

    #[test]
    fn the_first_chorus_leaves_room_for_the_count_in() {
        let metres = MetreMap::new(Metre::COMMON);
        let lines = BarLines { metres: &metres, beat_one_offset: 0, pulse: Pulse::Host };
        let first = |first_bar, from, count_in| {
            let form = DrillForm { bars: 12, first_bar, count_in };
            first_chorus(lines, &form, Beat(from), count_in)
        };
        assert_eq!(first(None, 0.0, 1), 2);
        assert_eq!(first(None, 0.3, 1), 3);
        assert_eq!(first(None, -4.0, 2), 2);
        assert_eq!(first(Some(2), 0.0, 1), 2);
        assert_eq!(first(Some(1), 0.0, 1), 13);
        assert_eq!(first(Some(1), 0.0, 0), 1);
        assert_eq!(first(Some(25), 0.0, 1), 25);
        assert_eq!(first(Some(5), 4.0 * 40.0, 0), 41);
        assert_eq!(first(Some(5), 4.0 * 40.0 + 1.0, 0), 53);
    }
}
