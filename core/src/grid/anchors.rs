//! Moments whose bar and beat are known.

use super::{FARTHEST_SECOND, PULSE_SECONDS, PulseNumber, real};
use crate::time::metre::Metre;
use crate::time::metre_map::{MetreMap, Stretch};
use crate::time::{Beat, Second};
use serde::{Deserialize, Serialize};

/// The source of an anchor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AnchorSource {
    /// A tap.
    Tap,
    /// Set by hand.
    Hand,
    /// A beat of the band.
    Band,
}

/// A moment whose bar and beat are known.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct Anchor {
    /// Its time on the take's clock.
    pub at: Second,
    /// Its beat.
    pub pulse: PulseNumber,
    /// Its source.
    pub source: AnchorSource,
    /// Whether the number of beats since the previous anchor is in doubt.
    pub in_doubt: bool,
}

/// A bar line from which bars are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Serialize, Deserialize)]
pub struct BarLine {
    /// Its beat.
    pub pulse: PulseNumber,
    /// The number of the bar that starts there.
    pub bar: i64,
}

/// The anchors of a take: at least two, with ascending times and beats.
#[derive(Debug, Clone, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "Parts", into = "Parts")]
pub struct Anchors {
    metre: Metre,
    bar_lines: Vec<BarLine>,
    each: Vec<Anchor>,
}

/// The fields of [`Anchors`], not yet checked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Parts {
    pub metre: Metre,
    pub bar_lines: Vec<BarLine>,
    pub each: Vec<Anchor>,
}

/// Why anchors do not make a grid. Anchors are numbered from 1.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum AnchorError {
    /// A single anchor has no tempo.
    #[error("at least two anchors are needed, not {0}")]
    TooFew(usize),
    /// A time outside any take.
    #[error("anchor {0}: not a time within a day")]
    NotATime(usize),
    /// Two anchors at the same time.
    #[error("anchors {before} and {number}: both at {second:.3} s")]
    AtOnce {
        /// The earlier one.
        before: usize,
        /// The later one.
        number: usize,
        /// Their time.
        second: f64,
    },
    /// Times out of order.
    #[error("anchor {number}: at {second:.3} s, before anchor {before}")]
    Unsorted {
        /// The one before.
        before: usize,
        /// The wrong one.
        number: usize,
        /// Its time.
        second: f64,
    },
    /// Beats out of order.
    #[error("anchor {number}: its bar and beat are not after those of anchor {before}")]
    BeatsBack {
        /// The one before.
        before: usize,
        /// The wrong one.
        number: usize,
    },
    /// A tempo outside the range.
    #[error("anchors {before} and {number}: {bpm:.0} BPM between them; it must be 20 to 400")]
    Tempo {
        /// The earlier one.
        before: usize,
        /// The later one.
        number: usize,
        /// Felt beats per minute.
        bpm: f64,
    },
    /// Bar lines out of order, or none.
    #[error("bar lines out of order")]
    BarLines,
}

/// Anchors kept before and after a stretch, for the tempo at its edges. Origin: own choice; 32 of them leave
/// a beat in it unchanged to a millionth of a second.
const MARGIN: usize = 64;

/// How far rounding may take a tempo beyond the range, as a share.
const ROUNDING: f64 = 1e-9;

impl Anchors {
    /// Checks these anchors.
    ///
    /// # Errors
    /// Why they do not make a grid.
    pub fn new(
        metre: Metre,
        bar_lines: Vec<BarLine>,
        each: Vec<Anchor>,
    ) -> Result<Self, AnchorError> {
        if each.len() < 2 {
            return Err(AnchorError::TooFew(each.len()));
        }
        for (number, anchor) in (1..).zip(&each) {
            if !anchor.at.0.is_finite() || anchor.at.0.abs() > FARTHEST_SECOND {
                return Err(AnchorError::NotATime(number));
            }
        }
        for (before, pair) in (1..).zip(each.windows(2)) {
            if let [one, other] = pair {
                check_pair(before, one, other)?;
            }
        }
        let are_in_order = !bar_lines.is_empty()
            && bar_lines.is_sorted_by(|a, b| a.pulse < b.pulse && a.bar < b.bar)
            && bar_lines
                .iter()
                .all(|line| line.pulse.0.abs() < 1 << 40 && line.bar.abs() < 1 << 40);
        if !are_in_order {
            return Err(AnchorError::BarLines);
        }
        Ok(Self { metre, bar_lines, each })
    }

    /// The metre, one throughout.
    #[must_use]
    pub fn metre(&self) -> Metre {
        self.metre
    }

    /// The anchors in order.
    #[must_use]
    pub fn all(&self) -> &[Anchor] {
        &self.each
    }

    /// The bar lines from which bars are counted: one at the start, and one wherever the count restarts.
    #[must_use]
    pub fn bar_lines(&self) -> &[BarLine] {
        &self.bar_lines
    }

    /// The first anchor.
    pub(super) fn first(&self) -> Anchor {
        self.each.first().copied().unwrap_or(NOWHERE)
    }

    /// The last anchor.
    pub(super) fn last(&self) -> Anchor {
        self.each.last().copied().unwrap_or(NOWHERE)
    }

    /// The bars.
    #[must_use]
    pub fn metres(&self) -> MetreMap {
        let stretch = |line: &BarLine| Stretch {
            start: beat_of(line.pulse, self.metre),
            bar: line.bar,
            metre: self.metre,
        };
        let stretches = self.bar_lines.iter().map(stretch).collect();
        MetreMap::of(stretches).unwrap_or_else(|| MetreMap::new(self.metre))
    }

    /// Converts the times, for example to another clock; anchors without a new time are left out.
    ///
    /// # Errors
    /// Why the rest do not make a grid.
    pub fn moved(&self, to: impl Fn(Second) -> Option<Second>) -> Result<Self, AnchorError> {
        let each = self.each.iter();
        let each = each.filter_map(|anchor| Some(Anchor { at: to(anchor.at)?, ..*anchor }));
        Self::new(self.metre, self.bar_lines.clone(), each.collect())
    }

    /// The anchors that affect a stretch: those in it, and some before and after.
    #[must_use]
    pub fn around(self, from: Second, to: Second) -> Self {
        let first = self.each.partition_point(|anchor| anchor.at < from).saturating_sub(MARGIN);
        let after = self.each.partition_point(|anchor| anchor.at <= to) + MARGIN;
        let each = self.each.get(first..after.min(self.each.len())).unwrap_or_default().to_vec();
        let Some(begins) = each.first().map(|anchor| anchor.pulse) else { return self };
        let line = self.bar_lines.partition_point(|line| line.pulse <= begins).saturating_sub(1);
        let bar_lines = self.bar_lines.get(line..).unwrap_or_default().to_vec();
        Self::new(self.metre, bar_lines, each).unwrap_or(self)
    }

    pub(super) fn into_parts(self) -> Parts {
        let Self { metre, bar_lines, each } = self;
        Parts { metre, bar_lines, each }
    }
}

/// A placeholder: there are always at least two anchors.
const NOWHERE: Anchor =
    Anchor { at: Second(0.0), pulse: PulseNumber(0), source: AnchorSource::Hand, in_doubt: false };

/// The song position of a felt beat: bar 1 starts at the start of the song.
pub(super) fn beat_of(pulse: PulseNumber, metre: Metre) -> Beat {
    Beat(real(pulse.0) * metre.pulse().0)
}

impl Anchor {
    /// Appends it to anchors in order, unless it contradicts the last one. Returns whether it did.
    pub fn append_to(self, each: &mut Vec<Self>) -> bool {
        let follows = each.last().is_none_or(|last| check_pair(0, last, &self).is_ok());
        if follows {
            each.push(self);
        }
        follows
    }
}

fn check_pair(before: usize, one: &Anchor, other: &Anchor) -> Result<(), AnchorError> {
    let number = before + 1;
    let second = other.at.0;
    if other.at == one.at {
        return Err(AnchorError::AtOnce { before, number, second });
    }
    if other.at < one.at {
        return Err(AnchorError::Unsorted { before, number, second });
    }
    if other.pulse <= one.pulse {
        return Err(AnchorError::BeatsBack { before, number });
    }
    let period = (other.at - one.at).0 / real(other.pulse - one.pulse);
    let (shortest, longest) = (PULSE_SECONDS.start(), PULSE_SECONDS.end());
    if period < shortest * (1.0 - ROUNDING) || period > longest * (1.0 + ROUNDING) {
        return Err(AnchorError::Tempo { before, number, bpm: 60.0 / period });
    }
    Ok(())
}

impl TryFrom<Parts> for Anchors {
    type Error = AnchorError;
    fn try_from(parts: Parts) -> Result<Self, AnchorError> {
        Self::new(parts.metre, parts.bar_lines, parts.each)
    }
}

impl From<Anchors> for Parts {
    fn from(anchors: Anchors) -> Self {
        anchors.into_parts()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn anchors(each: &[(f64, i64)]) -> Result<Anchors, AnchorError> {
        let anchor = |(at, pulse): &(f64, i64)| Anchor {
            at: Second(*at),
            pulse: PulseNumber(*pulse),
            ..NOWHERE
        };
        let line = BarLine { pulse: PulseNumber(0), bar: 1 };
        Anchors::new(Metre::COMMON, vec![line], each.iter().map(anchor).collect())
    }

    #[test]
    fn anchors_that_make_no_grid_are_refused_with_a_reason() {
        assert!(anchors(&[(1.0, 0), (3.0, 4), (6.0, 8)]).is_ok());
        for (wrong, message) in [
            (&[][..], "at least two anchors are needed, not 0"),
            (&[(1.0, 0)], "at least two anchors are needed, not 1"),
            (&[(1.0, 0), (f64::NAN, 4)], "anchor 2: not a time within a day"),
            (&[(1.0, 0), (1e9, 4)], "anchor 2: not a time within a day"),
            (&[(1.0, 0), (1.0, 4)], "anchors 1 and 2: both at 1.000 s"),
            (&[(1.0, 0), (3.0, 4), (2.0, 8)], "anchor 3: at 2.000 s, before anchor 2"),
            (&[(1.0, 4), (3.0, 4)], "anchor 2: its bar and beat are not after those of anchor 1"),
            (&[(1.0, 0), (2.0, 16)], "anchors 1 and 2: 960 BPM between them; it must be 20 to 400"),
        ] {
            assert_eq!(anchors(wrong).map_err(|why| why.to_string()), Err(message.to_owned()));
        }
    }

    #[test]
    fn anchors_survive_a_round_trip_through_json() {
        let whole = anchors(&[(1.125, -4), (3.1, 0), (7.0 / 3.0 + 3.0, 4)]).unwrap();
        let text = serde_json::to_string(&whole).unwrap();
        assert_eq!(serde_json::from_str::<Anchors>(&text).unwrap(), whole);
        let back = text.replace("-4", "40");
        assert!(serde_json::from_str::<Anchors>(&back).is_err(), "{back}");
    }
}
