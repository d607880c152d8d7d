//! The grid that anchors give: every beat, worked out from both sides, and how sure it is.

use super::anchors::{Anchor, AnchorSource, Anchors, beat_of};
use super::kalman::{BeatState, smooth, tap_sd};
use super::{PULSE_SECONDS, PulseNumber, real};
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::{Knot, TempoMap};
use crate::time::{Beat, Second, SecondSpan, Tempo};

/// How far an anchor that was set by hand lies from its beat, in seconds, as a standard deviation. Origin: the step by which a grid is nudged.
const HAND_SD: f64 = 0.005;

/// How far a beat as the band was heard to play it lies from its beat, the same. Origin: fitted to rendered
/// bands.
const BAND_SD: f64 = 0.003;

/// How far the first tempo may be off, as a share of a beat: it is taken from the first anchors.
const FIRST_TEMPO_SD: f64 = 0.1;

/// A stretch between two anchors with more beats than this is bridged. Origin: of gaps of 16 beats in
/// labelled solos 99 % of the beats come within 70 ms.
pub const LONGEST_BRIDGE: i64 = 16;

/// Before the first anchor and after the last one, where there is but one side, beats farther from it
/// than this are bridged. Origin: a bar of 4/4; of beats followed for a bar without a tap, 94 % come
/// within 70 ms.
pub const LONGEST_LEAD: i64 = 4;

/// Places are given as "about" where more than this share of the beats was bridged. Origin: common
/// practice, no source.
pub const ABOUT_FROM: f64 = 0.1;

/// A grid made of anchors.
#[derive(Debug, Clone, PartialEq)]
pub struct BeatGrid {
    tempo: TempoMap,
    metres: MetreMap,
    /// The beats from the first anchor to the last one, and how far each may be off.
    first: PulseNumber,
    spreads: Vec<SecondSpan>,
    bridges: Vec<Bridge>,
    pulse: f64,
}

/// A stretch of the grid that rests on no anchor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bridge {
    /// Its first beat.
    pub from: Beat,
    /// The beat after its last.
    pub to: Beat,
    /// Whether it is so long that its beats may be off.
    pub bridged: bool,
    /// Whether it is in doubt how many beats it has.
    pub count_in_doubt: bool,
}

/// How far a grid can be gone by, over a take.
#[derive(Debug, Clone, PartialEq)]
pub struct Certainty {
    /// Share of the beats that were bridged, from 0 to 1.
    pub bridged: f64,
    /// The stretches that were bridged or whose count is in doubt, in order.
    pub bridges: Vec<Bridge>,
    /// Whether some count of beats is in doubt.
    pub count_in_doubt: bool,
    /// How far a beat is off in the mean, as a standard deviation.
    pub spread: SecondSpan,
}

impl Certainty {
    /// Whether places in the bar are to be given as "about".
    #[must_use]
    pub fn is_about(&self) -> bool {
        self.count_in_doubt || self.bridged > ABOUT_FROM
    }
}

impl BeatGrid {
    /// Works out the grid of these anchors.
    #[must_use]
    pub fn of(anchors: &Anchors) -> Self {
        let mut states = followed(anchors);
        smooth(&mut states);
        let times = in_bounds(&states);
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

    /// The tempo map: a knot a beat.
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

    /// When a felt beat is.
    #[must_use]
    pub fn second_of(&self, pulse: PulseNumber) -> Second {
        self.tempo.second_at(Beat(real(pulse.0) * self.pulse)).unwrap_or_default()
    }

    /// How far it can be gone by from one moment to another.
    #[must_use]
    pub fn certainty(&self, from: Second, to: Second) -> Certainty {
        let at = |second| self.tempo.beat_at(second).unwrap_or_default();
        let (from, to) = (at(from), at(to).later(at(from)));
        let last = Beat((real(self.first.0) + self.count() - 1.0) * self.pulse);
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

    /// The first beat that an anchor tells.
    pub(super) fn first(&self) -> PulseNumber {
        self.first
    }

    fn count(&self) -> f64 {
        self.spreads.iter().map(|_| 1.0).sum()
    }

    /// How far a beat is off in the mean of squares.
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

/// A stretch on the outside.
const LEAD: Bridge =
    Bridge { from: Beat(0.0), to: Beat(0.0), bridged: true, count_in_doubt: false };

fn length(bridge: &Bridge) -> f64 {
    (bridge.to - bridge.from).0
}

/// Every beat from the first anchor to the last one, followed from the first side.
fn followed(anchors: &Anchors) -> Vec<BeatState> {
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

/// The moments of the beats, each a bearable step after the one before.
fn in_bounds(states: &[BeatState]) -> Vec<f64> {
    let mut times: Vec<f64> = Vec::with_capacity(states.len());
    for state in states {
        let earliest = times.last().map(|before| before + PULSE_SECONDS.start());
        let latest = times.last().map(|before| before + PULSE_SECONDS.end());
        let time = earliest.map_or(state.time, |earliest| state.time.max(earliest));
        times.push(latest.map_or(time, |latest| time.min(latest)));
    }
    times
}

/// Stretches between anchors that are long, or of which the count is in doubt.
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
