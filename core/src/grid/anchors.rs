//! Moments whose bar and beat are known, and how many beats lie between them.

use super::{FARTHEST_SECOND, PULSE_SECONDS, PulseNumber, real};
use crate::time::metre::Metre;
use crate::time::metre_map::{MetreMap, Stretch};
use crate::time::{Beat, Second};
use serde::{Deserialize, Serialize};

/// Who says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AnchorSource {
    /// It was tapped.
    Tap,
    /// It was set by hand.
    Hand,
    /// The band was heard to play it.
    Band,
}

/// A moment that is a beat.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct Anchor {
    /// When, on the take's clock.
    pub at: Second,
    /// Which beat it is.
    pub pulse: PulseNumber,
    /// Who says so.
    pub source: AnchorSource,
    /// Whether it is in doubt how many beats lie between the anchor before and this one.
    pub in_doubt: bool,
}

/// A bar line that bars are counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Serialize, Deserialize)]
pub struct BarLine {
    /// The beat it stands on.
    pub pulse: PulseNumber,
    /// The number of the bar that begins there.
    pub bar: i64,
}

/// Anchors of a take: two or more, in order, each farther in time and in beats than the one before.
#[derive(Debug, Clone, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "Parts", into = "Parts")]
pub struct Anchors {
    metre: Metre,
    bar_lines: Vec<BarLine>,
    each: Vec<Anchor>,
}

/// What anchors are made of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Parts {
    pub metre: Metre,
    pub bar_lines: Vec<BarLine>,
    pub each: Vec<Anchor>,
}

/// Why anchors are no grid. Anchors are counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum AnchorError {
    /// One moment says where a beat is, not how fast the beats are.
    #[error("two anchors or more are needed, not {0}")]
    TooFew(usize),
    /// A time that is no time of a take.
    #[error("anchor {0}: not a time within a day")]
    NotATime(usize),
    /// Two of one moment.
    #[error("anchors {before} and {number}: both at {second:.3} s")]
    AtOnce {
        /// The earlier one.
        before: usize,
        /// The later one.
        number: usize,
        /// Their moment.
        second: f64,
    },
    /// Out of order.
    #[error("anchor {number}: at {second:.3} s, before anchor {before}")]
    Unsorted {
        /// The one before.
        before: usize,
        /// The wrong one.
        number: usize,
        /// Its moment.
        second: f64,
    },
    /// Two of one beat, or a beat before the one before it.
    #[error("anchor {number}: its bar and beat are not after those of anchor {before}")]
    BeatsBack {
        /// The one before.
        before: usize,
        /// The wrong one.
        number: usize,
    },
    /// A tempo that nobody plays.
    #[error(
        "anchors {before} and {number}: {bpm:.0} beats a minute between them; 20 to 400 are followed"
    )]
    Tempo {
        /// The earlier one.
        before: usize,
        /// The later one.
        number: usize,
        /// Felt beats a minute.
        bpm: f64,
    },
    /// A bar without a beat in it, or none at all.
    #[error("bar lines out of order")]
    BarLines,
}

/// So many anchors before and after a stretch tell how fast the beats are at its edges. Origin: own choice;
/// 32 of them leave a beat in it unchanged to a millionth of a second.
const BESIDE: usize = 64;

/// Tempos may pass the bounds by rounding, as a share.
const ROUNDING: f64 = 1e-9;

impl Anchors {
    /// These anchors.
    ///
    /// # Errors
    /// Why they are no grid.
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
        let are_lines = !bar_lines.is_empty()
            && bar_lines.is_sorted_by(|a, b| a.pulse < b.pulse && a.bar < b.bar)
            && bar_lines
                .iter()
                .all(|line| line.pulse.0.abs() < 1 << 40 && line.bar.abs() < 1 << 40);
        if !are_lines {
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

    /// Bar lines that bars are counted from: where the count begins, and where it begins anew.
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

    /// The same at other moments, as on another clock; those that have none there are left out.
    ///
    /// # Errors
    /// Why they are no grid then.
    pub fn moved(&self, to: impl Fn(Second) -> Option<Second>) -> Result<Self, AnchorError> {
        let each = self.each.iter();
        let each = each.filter_map(|anchor| Some(Anchor { at: to(anchor.at)?, ..*anchor }));
        Self::new(self.metre, self.bar_lines.clone(), each.collect())
    }

    /// Those that say anything of a stretch: the ones in it and some beside it.
    #[must_use]
    pub fn around(self, from: Second, to: Second) -> Self {
        let first = self.each.partition_point(|anchor| anchor.at < from).saturating_sub(BESIDE);
        let after = self.each.partition_point(|anchor| anchor.at <= to) + BESIDE;
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

/// Anchors are never without one.
const NOWHERE: Anchor =
    Anchor { at: Second(0.0), pulse: PulseNumber(0), source: AnchorSource::Hand, in_doubt: false };

/// Where a felt beat lies in the song: bar 1 begins at the song's start.
pub(super) fn beat_of(pulse: PulseNumber, metre: Metre) -> Beat {
    Beat(real(pulse.0) * metre.pulse().0)
}

pub(crate) fn check_pair(before: usize, one: &Anchor, other: &Anchor) -> Result<(), AnchorError> {
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
    fn what_is_no_grid_is_said() {
        assert!(anchors(&[(1.0, 0), (3.0, 4), (6.0, 8)]).is_ok());
        for (wrong, said) in [
            (&[][..], "two anchors or more are needed, not 0"),
            (&[(1.0, 0)], "two anchors or more are needed, not 1"),
            (&[(1.0, 0), (f64::NAN, 4)], "anchor 2: not a time within a day"),
            (&[(1.0, 0), (1e9, 4)], "anchor 2: not a time within a day"),
            (&[(1.0, 0), (1.0, 4)], "anchors 1 and 2: both at 1.000 s"),
            (&[(1.0, 0), (3.0, 4), (2.0, 8)], "anchor 3: at 2.000 s, before anchor 2"),
            (&[(1.0, 4), (3.0, 4)], "anchor 2: its bar and beat are not after those of anchor 1"),
            (
                &[(1.0, 0), (2.0, 16)],
                "anchors 1 and 2: 960 beats a minute between them; 20 to 400 are followed",
            ),
        ] {
            assert_eq!(anchors(wrong).map_err(|why| why.to_string()), Err(said.to_owned()));
        }
    }

    #[test]
    fn they_are_read_as_they_are_written() {
        let whole = anchors(&[(1.125, -4), (3.1, 0), (7.0 / 3.0 + 3.0, 4)]).unwrap();
        let text = serde_json::to_string(&whole).unwrap();
        assert_eq!(serde_json::from_str::<Anchors>(&text).unwrap(), whole);
        let back = text.replace("-4", "40");
        assert!(serde_json::from_str::<Anchors>(&back).is_err(), "{back}");
    }
}
