//! Edits of a grid by hand. Each returns new anchors and leaves the old ones unchanged.

use super::anchors::{Anchor, AnchorError, AnchorSource, Anchors, BarLine, Parts, beat_of};
use super::beat_grid::BeatGrid;
use super::{PulseNumber, nearest, real};
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::TempoMap;
use crate::time::{Second, SecondSpan};

/// When the bars between two moments are set, taps this near to a beat stay, as a share of the beat.
const NEAR_A_BEAT: f64 = 0.3;

impl Anchors {
    /// Makes the beat nearest to `at` a beat one.
    ///
    /// # Errors
    /// Why the result is no grid.
    pub fn with_beat_one_at(&self, at: Second) -> Result<Self, AnchorError> {
        let pulse = BeatGrid::of(self).nearest_pulse(at);
        let in_bar = self.pulses_in_bar();
        let late = (pulse - self.line_at(pulse).pulse).rem_euclid(in_bar);
        let later = if late * 2 <= in_bar { late } else { late - in_bar };
        self.move_beat_one(pulse, later)
    }

    /// Moves beat one around `at` by `beats`: below 0 earlier.
    ///
    /// # Errors
    /// Why the result is no grid.
    pub fn with_beat_one_later(&self, at: Second, beats: i64) -> Result<Self, AnchorError> {
        self.move_beat_one(BeatGrid::of(self).nearest_pulse(at), beats)
    }

    /// Moves the whole grid `by` later.
    ///
    /// # Errors
    /// If an anchor would leave the day.
    pub fn nudged(&self, by: SecondSpan) -> Result<Self, AnchorError> {
        let mut parts = self.clone().into_parts();
        for anchor in &mut parts.each {
            anchor.at = anchor.at + by;
        }
        parts.try_into()
    }

    /// Doubles the tempo.
    ///
    /// # Errors
    /// If that is too fast.
    pub fn at_double_tempo(&self) -> Result<Self, AnchorError> {
        self.with_pulses(|pulse| Some(PulseNumber(pulse.0.saturating_mul(2))))
    }

    /// Halves the tempo. Anchors on the dropped beats are left out.
    ///
    /// # Errors
    /// If that is too slow, or too few anchors are left.
    pub fn at_half_tempo(&self) -> Result<Self, AnchorError> {
        self.with_pulses(|pulse| {
            (pulse.0.rem_euclid(2) == 0).then(|| PulseNumber(pulse.0.div_euclid(2)))
        })
    }

    /// Sets the number of bars from the beat at `from` to the one at `to`. Taps in between stay if they are
    /// near a beat; the bars after are renumbered.
    ///
    /// # Errors
    /// Why the result is no grid.
    pub fn with_bars_between(
        &self,
        from: Second,
        to: Second,
        bars: u32,
    ) -> Result<Self, AnchorError> {
        let grid = BeatGrid::of(self);
        let (first, last) = (grid.nearest_pulse(from), grid.nearest_pulse(to));
        let beats = i64::from(bars) * self.pulses_in_bar();
        let more = beats - (last - first);
        let by_hand = |at, pulse| Anchor { at, pulse, source: AnchorSource::Hand, in_doubt: false };
        let mut parts = self.clone().into_parts();
        let (before, rest): (Vec<Anchor>, Vec<Anchor>) =
            parts.each.into_iter().partition(|anchor| anchor.at < from);
        let (between, after): (Vec<Anchor>, Vec<Anchor>) =
            rest.into_iter().partition(|anchor| anchor.at <= to);
        let mut each: Vec<Anchor> = before.into_iter().filter(|a| a.pulse < first).collect();
        each.push(by_hand(from, first));
        for anchor in between {
            let share = (anchor.at - from).0 / (to - from).0;
            let beat = share * real(beats);
            let pulse = first + nearest(beat);
            let is_near = (beat - beat.round()).abs() <= NEAR_A_BEAT;
            let is_new = each.last().is_none_or(|known| known.pulse < pulse);
            if is_near && is_new && pulse < first + beats {
                each.push(Anchor { pulse, in_doubt: false, ..anchor });
            }
        }
        each.push(by_hand(to, first + beats));
        each.extend(
            after
                .into_iter()
                .map(|anchor| Anchor { pulse: anchor.pulse + more, ..anchor })
                .filter(|anchor| anchor.pulse > first + beats),
        );
        parts.each = each;
        parts.bar_lines.retain(|line| line.pulse <= first || line.pulse > last);
        for line in parts.bar_lines.iter_mut().filter(|line| line.pulse > last) {
            line.pulse = line.pulse + more;
        }
        renumber(&mut parts.bar_lines, self.pulses_in_bar());
        parts.try_into()
    }

    /// Moves the beat nearest to `at` there, by hand. An anchor of that beat is replaced.
    ///
    /// # Errors
    /// Why the result is no grid.
    pub fn with_beat_at(&self, at: Second) -> Result<Self, AnchorError> {
        let pulse = BeatGrid::of(self).nearest_pulse(at);
        let mut parts = self.clone().into_parts();
        let old = parts.each.iter().position(|anchor| anchor.pulse >= pulse);
        let index = old.unwrap_or(parts.each.len());
        let in_doubt = match parts.each.get(index) {
            Some(anchor) if anchor.pulse == pulse => parts.each.remove(index).in_doubt,
            _ => false,
        };
        parts.each.insert(index, Anchor { at, pulse, source: AnchorSource::Hand, in_doubt });
        parts.try_into()
    }

    /// Removes the anchor nearest to `at`.
    ///
    /// # Errors
    /// If too few are left.
    pub fn without(&self, at: Second) -> Result<Self, AnchorError> {
        let mut parts = self.clone().into_parts();
        let away = |anchor: &Anchor| (anchor.at - at).0.abs();
        let nearest = (0_usize..).zip(&parts.each).min_by(|a, b| away(a.1).total_cmp(&away(b.1)));
        if let Some(index) = nearest.map(|(index, _)| index) {
            parts.each.remove(index);
        }
        parts.try_into()
    }

    /// Merges two parts of a take: these anchors before `from`, and those of `other` from there on.
    ///
    /// # Errors
    /// Why the result is no grid.
    pub fn followed_by(&self, other: &Self, from: Second) -> Result<Self, AnchorError> {
        let mut parts = self.clone().into_parts();
        parts.each.retain(|anchor| anchor.at < from);
        let kept = other.all().iter().filter(|anchor| anchor.at >= from).copied();
        let kept: Vec<Anchor> = kept.collect();
        let Some(first) = kept.first() else { return parts.try_into() };
        let in_bar = other.pulses_in_bar();
        let line = other.line_at(first.pulse);
        let bars = (first.pulse - line.pulse).div_euclid(in_bar);
        let start = BarLine { pulse: line.pulse + bars * in_bar, bar: line.bar + bars };
        let counted = self.line_at(start.pulse);
        let is_counted_on = (start.pulse - counted.pulse) == (start.bar - counted.bar) * in_bar;
        parts.bar_lines.retain(|line| line.pulse < start.pulse);
        if !is_counted_on || parts.bar_lines.is_empty() {
            parts.bar_lines.push(start);
        }
        let later = other.bar_lines().iter().filter(|line| line.pulse > start.pulse);
        parts.bar_lines.extend(later.copied());
        parts.each.extend(kept);
        if self.metre() != other.metre() {
            return Err(AnchorError::BarLines);
        }
        parts.try_into()
    }

    /// The anchors of a host's grid, one per bar, for edits by hand. `None` if it has gaps or the metre changes
    /// between the two moments.
    #[must_use]
    pub fn of_host(
        tempo: &TempoMap,
        metres: &MetreMap,
        (from, to): (Second, Second),
    ) -> Option<Self> {
        let (first, last) = (tempo.beat_at(from)?, tempo.beat_at(to)?);
        let (first, last) = (metres.bar_at(first).number, metres.bar_at(last).number + 1);
        let metre = metres.bar(first).metre;
        if (last - first) > MAX_BARS || metres.bar(last).metre != metre {
            return None;
        }
        let in_bar = i64::from(metre.pulses());
        let anchor = |bar: i64| {
            let start = metres.bar(bar).start;
            let pulse = PulseNumber((bar - 1).saturating_mul(in_bar));
            let is_plain = (beat_of(pulse, metre) - start).0.abs() < 1e-6;
            let at = tempo.second_at(start).filter(|_| is_plain)?;
            Some(Anchor { at, pulse, source: AnchorSource::Hand, in_doubt: false })
        };
        let each = (first..=last).map(anchor).collect::<Option<_>>()?;
        Self::new(metre, vec![BarLine { pulse: PulseNumber(0), bar: 1 }], each).ok()
    }

    fn pulses_in_bar(&self) -> i64 {
        i64::from(self.metre().pulses().max(1))
    }

    /// The bar line from which the bar of this beat is counted.
    pub(super) fn line_at(&self, pulse: PulseNumber) -> BarLine {
        let lines = self.bar_lines();
        let after = lines.partition_point(|line| line.pulse <= pulse);
        let line = lines.get(after.saturating_sub(1)).copied();
        line.unwrap_or(BarLine { pulse: PulseNumber(0), bar: 1 })
    }

    /// Moves beat one around `pulse` by `beats`, from where the count was last in doubt.
    fn move_beat_one(&self, pulse: PulseNumber, beats: i64) -> Result<Self, AnchorError> {
        let line = self.line_at(pulse);
        let mut parts = self.clone().into_parts();
        let is_doubtful = |anchor: &&mut Anchor| {
            anchor.in_doubt && anchor.pulse <= pulse && anchor.pulse > line.pulse
        };
        let doubtful = parts.each.iter_mut().rfind(|anchor| is_doubtful(anchor));
        if let Some(from) = doubtful.map(|anchor| {
            anchor.in_doubt = false;
            anchor.pulse
        }) {
            // The gap had fewer beats than assumed.
            move_from(&mut parts, from, -beats);
        } else if Some(&line) == self.bar_lines().first() {
            move_from(&mut parts, PulseNumber(i64::MIN), -beats);
            if let Some(first) = parts.bar_lines.first_mut() {
                *first = line;
            }
        } else {
            for other in parts.bar_lines.iter_mut().filter(|other| **other == line) {
                other.pulse = other.pulse + beats;
            }
            let before = self.line_at(line.pulse + -1).pulse;
            for anchor in &mut parts.each {
                anchor.in_doubt &= anchor.pulse <= before || anchor.pulse > line.pulse;
            }
        }
        parts.try_into()
    }

    /// Renumbers the beats; anchors without a new number are left out.
    fn with_pulses(
        &self,
        number: impl Fn(PulseNumber) -> Option<PulseNumber>,
    ) -> Result<Self, AnchorError> {
        let mut parts = self.clone().into_parts();
        let each = parts.each.iter();
        parts.each = each
            .filter_map(|anchor| Some(Anchor { pulse: number(anchor.pulse)?, ..*anchor }))
            .collect();
        for line in &mut parts.bar_lines {
            let even = PulseNumber(line.pulse.0.saturating_sub(line.pulse.0.rem_euclid(2)));
            line.pulse = number(line.pulse).or_else(|| number(even)).unwrap_or(line.pulse);
        }
        renumber(&mut parts.bar_lines, self.pulses_in_bar());
        parts.try_into()
    }
}

/// The most bars of a host's grid that become anchors. Origin: a day at 400 BPM in bars of one beat is more than
/// anybody corrects by hand; an hour at 300 BPM in 4/4 is 4,500.
const MAX_BARS: i64 = 100_000;

/// Moves the anchors and bar lines from this beat on by `beats`.
fn move_from(parts: &mut Parts, from: PulseNumber, beats: i64) {
    for anchor in parts.each.iter_mut().filter(|anchor| anchor.pulse >= from) {
        anchor.pulse = anchor.pulse + beats;
    }
    for line in parts.bar_lines.iter_mut().filter(|line| line.pulse > from) {
        line.pulse = line.pulse + beats;
    }
}

/// Renumbers the bars of all bar lines after the first.
fn renumber(lines: &mut [BarLine], in_bar: i64) {
    let mut before: Option<BarLine> = None;
    for line in lines {
        if let Some(known) = before {
            let beats = line.pulse - known.pulse;
            let bars = beats.div_euclid(in_bar) + i64::from(beats.rem_euclid(in_bar) > 0);
            line.bar = known.bar.saturating_add(bars);
        }
        before = Some(*line);
    }
}
