//! The layout of a bar: the metrical strength of its points, and its beam groups.

use super::value::{QUARTER, Ratio, ticks};
use crate::quantization::BarLines;
use crate::take::settings::Pulse;
use crate::time::metre::{Division, Metre};

/// The metrical strength of a point: 0 is the bar line, and larger numbers are weaker.
pub(super) type Level = u32;

/// The level of a beat.
pub(super) const BEAT: Level = 2;

/// The level of a point between all subdivisions.
const NOWHERE: Level = 99;

/// A bar's division, in ticks from its bar line.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    /// Length of the bar.
    pub length: u32,
    /// Where its halves meet: in the middle of 4/4, and after the larger part of an odd number of beats.
    middle: Option<u32>,
    /// The starts of beats, or of groups of two and three beats if a beat is an eighth or less.
    groups: Vec<u32>,
    /// The written pulse, and whether it divides into three.
    pulse: u32,
    compound: bool,
    /// Length of a frame, over which subdivisions of the felt pulse can be tuplets.
    pub frame: u32,
    /// Whether a frame naturally divides into three.
    pub frame_in_three: bool,
}

/// The length of a bar that a change of metre cuts short is rounded up to a multiple of this.
const SHORTEST_BAR: u32 = QUARTER / 4;

impl Layout {
    /// The layout of bar `number`, which the next bar's metre may cut short.
    pub(super) fn of_bar(number: i64, lines: &BarLines<'_>) -> Self {
        let (bar, next) = (lines.bar(number), lines.bar(number.saturating_add(1)));
        let mut layout = Self::of(bar.metre, lines.pulse);
        let left = ticks(next.start - bar.start).div_ceil(SHORTEST_BAR) * SHORTEST_BAR;
        if left < layout.length {
            layout.length = left.max(SHORTEST_BAR);
            layout.middle = layout.middle.filter(|middle| *middle < layout.length);
            layout.groups.retain(|group| *group < layout.length);
        }
        layout
    }

    /// The layout of a bar in `metre`, felt in `pulse`.
    pub(super) fn of(metre: Metre, pulse: Pulse) -> Self {
        let compound = metre.division() == Division::Three;
        let written = ticks(metre.pulse());
        let (felt, division) = pulse.of(metre);
        // In compound metres a slower pulse still uses frames of the written one, whose eighths it shares.
        let frame_in_three = division == Division::Three;
        let frame = if frame_in_three { written } else { ticks(felt) };
        let length = ticks(metre.bar());
        let beats = u32::from(metre.pulses());
        let short = !compound && metre.denominator() >= 8;
        let groups = if short { short_groups(beats) } else { (0..beats).collect() };
        let middle = match groups.len() {
            n if n < 4 => None,
            5 => groups.get(3),
            7 => groups.get(4),
            n => groups.get(n / 2),
        };
        Self {
            length,
            middle: middle.map(|beat| beat * written),
            groups: groups.iter().map(|beat| beat * written).collect(),
            pulse: written,
            compound,
            frame: frame.clamp(1, length),
            frame_in_three,
        }
    }

    /// The level of a point in the bar.
    pub(super) fn level(&self, at: u32) -> Level {
        if at == 0 || at >= self.length {
            return 0;
        }
        if self.middle == Some(at) {
            return 1;
        }
        if self.groups.contains(&at) {
            return BEAT;
        }
        let inside = at % self.pulse;
        if inside == 0 {
            return BEAT + 1;
        }
        let (mut unit, mut level) =
            (if self.compound { self.pulse / 3 } else { self.pulse / 2 }, BEAT + 1);
        while unit > 0 {
            if inside.is_multiple_of(unit) {
                return level;
            }
            (unit, level) = (if unit.is_multiple_of(2) { unit / 2 } else { 0 }, level + 1);
        }
        NOWHERE
    }

    /// The strongest point strictly between two, and its level. Among equals, the first if the stretch starts
    /// on a weaker point, or else the last.
    pub(super) fn strongest_between(&self, from: u32, to: u32) -> Option<(u32, Level)> {
        let steps =
            (from + 1..to).map(|at| (at, self.level(at))).filter(|(_, level)| *level < NOWHERE);
        let strongest = steps.clone().map(|(_, level)| level).min()?;
        let mut points = steps.filter(|(_, level)| *level == strongest);
        if self.level(from) > strongest { points.next() } else { points.next_back() }
    }

    /// The start of the beam group that contains a point.
    pub(super) fn group_of(&self, at: u32) -> u32 {
        self.groups.iter().rev().find(|start| **start <= at).copied().unwrap_or(0)
    }

    /// Whether a stretch is within one beat.
    pub(super) fn in_one_beat(&self, from: u32, to: u32) -> bool {
        self.group_of(from) == self.group_of(to.saturating_sub(1))
    }

    /// Whether its beats divide into three.
    pub(super) fn is_compound(&self) -> bool {
        self.compound
    }

    /// Whether it has four beats that divide into two.
    pub(super) fn is_four_simple(&self) -> bool {
        !self.compound && self.groups.len() == 4
    }

    /// Length of the written pulse.
    pub(super) fn pulse(&self) -> u32 {
        self.pulse
    }

    /// The tuplet of a frame with this many parts; `None` if plain values suffice.
    pub(super) fn tuplet(&self, parts: u32) -> Option<Ratio> {
        let (actual, normal) = match (self.frame_in_three, parts) {
            (false, 3) => (3, 2),
            (false, 6) => (6, 4),
            (true, 2) => (2, 3),
            (true, 4) => (4, 6),
            _ => return None,
        };
        Some(Ratio { actual, normal })
    }
}

/// Groups beats of eighths or less in twos, with a three at the end if one is left over; five are grouped
/// as three and two. Common practice, no source.
fn short_groups(beats: u32) -> Vec<u32> {
    match beats {
        5 => vec![0, 3],
        _ => (0..beats / 2)
            .map(|pair| 2 * pair)
            .collect::<Vec<_>>()
            .into_iter()
            .chain((beats == 1).then_some(0))
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layout(upper: i32, lower: i32) -> Layout {
        Layout::of(Metre::new(upper, lower).unwrap(), Pulse::Host)
    }

    #[test]
    fn points_of_a_bar_have_levels() {
        let four = layout(4, 4);
        let levels = |layout: &Layout, points: &[u32]| -> Vec<Level> {
            points.iter().map(|at| layout.level(*at)).collect()
        };
        assert_eq!(levels(&four, &[0, 192, 384, 96, 48, 24, 64]), [0, 2, 1, 3, 4, 5, NOWHERE]);
        let six = layout(6, 8);
        assert_eq!(levels(&six, &[0, 288, 96, 48, 144]), [0, 2, 3, 4, 4]);
        let seven = layout(7, 8);
        assert_eq!(seven.groups, [0, 192, 384]);
        assert_eq!(levels(&seven, &[192, 96, 480, 48]), [2, 3, 3, 3]);
        assert_eq!(layout(5, 8).groups, [0, 288]);
    }

    #[test]
    fn a_stretch_is_cut_at_its_strongest_point() {
        let four = layout(4, 4);
        assert_eq!(four.strongest_between(96, 480), Some((384, 1)));
        assert_eq!(four.strongest_between(96, 240), Some((192, 2)));
        assert_eq!(four.strongest_between(0, 96), Some((48, 4)));
    }
}
