//! The grid that anchors give: the time of every beat, smoothed in both directions, and its uncertainty.

use super::anchors::{Anchor, AnchorSource, Anchors, beat_of};
use super::kalman::{BeatState, smooth, tap_sd};
use super::{PULSE_SECONDS, PulseNumber, real};
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::{Knot, TempoMap};
use crate::time::{Beat, Second, SecondSpan, Tempo};
use serde::{Deserialize, Serialize};

/// Error of an anchor set by hand, as a standard deviation in seconds. Origin: the step by which a grid is nudged.
const HAND_SD: f64 = 0.005;

/// Error of a beat of the band, the same. Origin: fitted to rendered bands.
const BAND_SD: f64 = 0.003;

/// Error of the first beat period, as a share of it: it is taken from the first anchors.
const FIRST_TEMPO_SD: f64 = 0.1;

/// A stretch of more beats than this between two anchors is bridged. Origin: in gaps of 16 beats in labelled
/// solos, 99 % of the beats come within 70 ms.
pub const LONGEST_BRIDGE: i64 = 16;

/// Beats more than this before the first anchor or after the last are bridged. Origin: a bar of 4/4; of
/// beats extrapolated for a bar without a tap, 94 % come within 70 ms.
pub const LONGEST_LEAD: i64 = 4;

/// Positions are approximate if more than this share of the beats is bridged. Origin: common practice, no
/// source.
pub const APPROXIMATE_FROM: f64 = 0.1;

/// A beat grid.
#[derive(Debug, Clone, PartialEq)]
pub struct BeatGrid {
    tempo: TempoMap,
    metres: MetreMap,
    /// The beat of the first anchor, and the error of each beat from there to the last anchor.
    first: PulseNumber,
    spreads: Vec<SecondSpan>,
    bridges: Vec<Bridge>,
    pulse: f64,
}

/// A stretch of the grid that rests on no anchor. The names of its fields are stored.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Bridge {
    /// Its first beat.
    pub from: Beat,
    /// The beat after its last.
    pub to: Beat,
    /// Whether it is too long for its beats to be sure.
    pub bridged: bool,
    /// Whether its number of beats is in doubt.
    pub count_in_doubt: bool,
}

/// How reliable a grid is between two moments.
#[derive(Debug, Clone, PartialEq)]
pub struct Certainty {
    /// Share of bridged beats, from 0 to 1.
    pub bridged: f64,
    /// The stretches that are bridged or whose count is in doubt, in order.
    pub bridges: Vec<Bridge>,
    /// Whether any count of beats is in doubt.
    pub count_in_doubt: bool,
    /// The typical error of a beat, as a standard deviation.
    pub spread: SecondSpan,
}

impl Certainty {
    /// Whether positions in the bar are only approximate.
    #[must_use]
    pub fn is_approximate(&self) -> bool {
        self.count_in_doubt || self.bridged > APPROXIMATE_FROM
    }
}

impl BeatGrid {
    /// Computes the grid of these anchors.
    #[must_use]
    pub fn of(anchors: &Anchors) -> Self {
        let mut states = filtered(anchors);
        smooth(&mut states);
        let times = within_range(&states);
        let pulse = anchors.metre().pulse().0;
        let first = anchors.first().pulse;
        let last_period = states.last().map_or(*PULSE_SECONDS.end(), |state| state.period);
        let periods = times.windows(2).map(|pair| match pair {
            [one, next] => next - one,
            _ => last_period,
        });
        let knots = times.iter().zip(periods.chain([last_period])).zip(0..);
        let knots = knots.filter_map(|((time, period), index)| {
            let beat = beat_of(first + index, anchors.metre());
            let tempo = Tempo::new(pulse * 60.0 / period)?;
            Some(Knot { second: Second(*time), beat, tempo })
        });
        Self {
            tempo: TempoMap::of(knots.collect()).unwrap_or_default(),
            metres: anchors.metres(),
            first,
            spreads: states.iter().map(|state| SecondSpan(state.time_sd())).collect(),
            bridges: bridges(anchors),
            pulse,
        }
    }

    /// The tempo map, with a knot on each beat.
    #[must_use]
    pub fn tempo(&self) -> &TempoMap {
        &self.tempo
    }

    /// The bars.
    #[must_use]
    pub fn metres(&self) -> &MetreMap {
        &self.metres
    }

    /// The felt beat nearest to `second`.
    #[must_use]
    pub fn nearest_pulse(&self, second: Second) -> PulseNumber {
        let beat = self.tempo.beat_at(second).unwrap_or_default();
        PulseNumber(super::nearest(beat.0 / self.pulse))
    }

    /// The time of a felt beat.
    #[must_use]
    pub fn second_of(&self, pulse: PulseNumber) -> Second {
        self.tempo.second_at(Beat(real(pulse.0) * self.pulse)).unwrap_or_default()
    }

    /// How reliable the grid is between two moments.
    #[must_use]
    pub fn certainty(&self, from: Second, to: Second) -> Certainty {
        let at = |second| self.tempo.beat_at(second).unwrap_or_default();
        let (from, to) = (at(from), at(to).later(at(from)));
        let count = crate::stats::real(self.spreads.len());
        let last = Beat((real(self.first.0) + count - 1.0) * self.pulse);
        let first = Beat(real(self.first.0) * self.pulse);
        let lead = real(LONGEST_LEAD) * self.pulse;
        let before = Bridge { from, to: Beat(first.0 - lead), ..LEAD };
        let after = Bridge { from: Beat(last.0 + lead), to, ..LEAD };
        let all = [before].into_iter().chain(self.bridges.iter().copied()).chain([after]);
        let inside = |bridge: Bridge| Bridge {
            from: bridge.from.later(from),
            to: bridge.to.earlier(to),
            ..bridge
        };
        let bridges: Vec<Bridge> = all.map(inside).filter(|part| part.from < part.to).collect();
        let beats: f64 = bridges.iter().filter(|bridge| bridge.bridged).map(length).sum();
        let length = (to - from).0;
        Certainty {
            bridged: if length > 0.0 { (beats / length).clamp(0.0, 1.0) } else { 0.0 },
            count_in_doubt: bridges.iter().any(|bridge| bridge.count_in_doubt),
            bridges,
            spread: self.spread(from, to),
        }
    }

    /// The beat of the first anchor.
    pub(super) fn first(&self) -> PulseNumber {
        self.first
    }

    /// The root mean square error of a beat.
    fn spread(&self, from: Beat, to: Beat) -> SecondSpan {
        let number = |index: i64| Beat(real((self.first + index).0) * self.pulse);
        let inside = (0..).zip(&self.spreads).filter(|(index, _)| {
            let beat = number(*index);
            from <= beat && beat <= to
        });
        let (count, squares) = inside.fold((0.0, 0.0), |(count, squares), (_, spread)| {
            (count + 1.0, squares + spread.0 * spread.0)
        });
        let mean: f64 = if count > 0.0 { squares / count } else { 0.0 };
        SecondSpan(mean.sqrt())
    }
}

/// A stretch before the first anchor or after the last.
const LEAD: Bridge =
    Bridge { from: Beat(0.0), to: Beat(0.0), bridged: true, count_in_doubt: false };

fn length(bridge: &Bridge) -> f64 {
    (bridge.to - bridge.from).0
}

/// Every beat from the first anchor to the last: the forward pass of the Kalman filter.
fn filtered(anchors: &Anchors) -> Vec<BeatState> {
    let first = anchors.first();
    let early = anchors.all().get(super::count_in::COUNT_IN - 1).copied().unwrap_or(anchors.last());
    let period = (early.at - first.at).0 / real((early.pulse - first.pulse).max(1));
    let mut states =
        vec![BeatState::new(first.at.0, period, sd(&first, period), FIRST_TEMPO_SD * period)];
    for pair in anchors.all().windows(2) {
        let [before, anchor] = pair else { continue };
        for step in 1..=anchor.pulse - before.pulse {
            let Some(expected) = states.last().map(BeatState::next) else { continue };
            let is_anchor = step == anchor.pulse - before.pulse;
            let observed = || expected.observed(anchor.at.0, sd(anchor, expected.period));
            states.push(if is_anchor { observed() } else { expected });
        }
    }
    states
}

fn sd(anchor: &Anchor, period: f64) -> f64 {
    match anchor.source {
        AnchorSource::Tap => tap_sd(period),
        AnchorSource::Hand => HAND_SD,
        AnchorSource::Band => BAND_SD,
    }
}

/// The times of the beats, with every step clamped to a possible beat period.
fn within_range(states: &[BeatState]) -> Vec<f64> {
    let mut times: Vec<f64> = Vec::with_capacity(states.len());
    for state in states {
        let earliest = times.last().map(|before| before + PULSE_SECONDS.start());
        let latest = times.last().map(|before| before + PULSE_SECONDS.end());
        let time = earliest.map_or(state.time, |earliest| state.time.max(earliest));
        times.push(latest.map_or(time, |latest| time.min(latest)));
    }
    times
}

/// The stretches between anchors that are long, or whose count is in doubt.
fn bridges(anchors: &Anchors) -> Vec<Bridge> {
    let bridge = |pair: &[Anchor]| {
        let [before, anchor] = pair else { return None };
        let long = anchor.pulse - before.pulse > LONGEST_BRIDGE;
        (long || anchor.in_doubt).then(|| Bridge {
            from: beat_of(before.pulse, anchors.metre()),
            to: beat_of(anchor.pulse, anchors.metre()),
            bridged: long,
            count_in_doubt: anchor.in_doubt,
        })
    };
    anchors.all().windows(2).filter_map(bridge).collect()
}
