//! The weights at one rate of the pulse, worked out once.

use super::spot::Spot;
use super::states::{COUNT, DIVISIONS, OTHER, OTHER_DIVISION, STATES};
use super::weights::{BINS, BINS_A_PULSE, Line, RATES, SHAPE_RATES, Shape, Weights};
use crate::metre::Division;
use std::sync::OnceLock;

/// Pulse rates, in pulses a minute, between which weights follow the rate, and the rate at
/// which they are given.
const SLOWEST: f64 = 40.0;
const FASTEST: f64 = 330.0;
const REFERENCE: f64 = 160.0;

/// Rates are taken to the nearest of these steps, each 2 % up, so that weights are worked out
/// once a step.
const STEPS: usize = 107;
const STEPS_AN_E: f64 = 50.0;

/// No spot is ruled out: the least probability of a step inside a pulse, and of a note meant for
/// no spot. Origin: common practice, no source.
const UNLIKELY: f64 = 0.002;
const OTHER_SHARE: f64 = 0.01;

/// Parts of a pulse shorter than this, in seconds, are not played as steps of their own. Origin:
/// about 20 notes a second, faster than any line of the labelled solos for more than an ornament.
const SHORTEST_STEP: f64 = 0.045;

/// Rarer places, as a density, are not looked at.
const UNUSUAL: f64 = 0.12;

/// Deviations beyond so many standard deviations go together no more.
const LATEST: f64 = 1.6;

/// How many pulses two notes may lie apart to make a difference.
const APART: usize = 4;

static OWN: [OnceLock<Box<AtRate>>; STEPS] = [const { OnceLock::new() }; STEPS];
static USUAL: [OnceLock<Box<AtRate>>; STEPS] = [const { OnceLock::new() }; STEPS];
static IN_THREE: [OnceLock<Box<AtRate>>; STEPS] = [const { OnceLock::new() }; STEPS];

/// The weights at one rate of the pulse.
#[derive(Debug)]
pub(super) struct AtRate {
    /// By pulses apart, from, to.
    inside: [[[f64; COUNT]; COUNT]; APART],
    anywhere: [f64; COUNT],
    start: [f64; COUNT],
    /// Densities by state with their means and deviations; none where none are known.
    shapes: Vec<(Shape, (f64, f64))>,
}

/// What the tables are worked out from.
struct Shares {
    weights: &'static Weights,
    /// From one division to the next pulse's.
    enter: [[f64; 6]; 7],
}

impl AtRate {
    /// Those of a spot's pulse, as usual players play it or as any one player may.
    pub fn of(spot: &Spot, usual: bool) -> &'static Self {
        let rate = (60.0 / spot.seconds.0).clamp(SLOWEST, FASTEST);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 106")]
        let step = ((rate / SLOWEST).ln() * STEPS_AN_E).round() as usize;
        let tables = match spot.division {
            Division::Two if usual => &USUAL,
            Division::Two => &OWN,
            Division::Three => &IN_THREE,
        };
        /// Of a step past the last, which there is none of.
        static NONE: OnceLock<Box<AtRate>> = OnceLock::new();
        tables.get(step).unwrap_or(&NONE).get_or_init(|| {
            #[expect(clippy::cast_precision_loss, reason = "0 to 106")]
            let rate = SLOWEST * (step as f64 / STEPS_AN_E).exp();
            Box::new(Self::new(Weights::of(spot.division, usual), rate))
        })
    }

    fn new(weights: &'static Weights, pulses_a_minute: f64) -> Self {
        let rate = (pulses_a_minute / REFERENCE).ln();
        let at = |line: &Option<Line>| line.map_or(0.0, |(at, growth)| (at + growth * rate).exp());
        let mut plain = weights.enter.each_ref().map(at);
        for (share, parts) in plain.iter_mut().zip(DIVISIONS) {
            // A pulse in two is always possible, at any rate.
            if parts > 2 && 60.0 / pulses_a_minute / f64::from(parts) < SHORTEST_STEP {
                *share = 0.0;
            }
        }
        let mut enter = [plain; 7];
        for (from, row) in enter.iter_mut().enumerate() {
            if let Some(same) = row.get_mut(from) {
                *same *= weights.persist.exp();
            }
            normalise(row);
        }
        let shares = Shares { weights, enter };
        let start = shares.starts(weights.start.each_ref().map(at));
        let mut all = Self {
            inside: [[[0.0; COUNT]; COUNT]; APART],
            anywhere: [0.0; COUNT],
            start,
            shapes: weights.shapes.iter().map(|rates| blend(rates, pulses_a_minute)).collect(),
        };
        for (pulses, by_from) in all.inside.iter_mut().enumerate() {
            for (from, by_to) in by_from.iter_mut().enumerate() {
                for (to, share) in by_to.iter_mut().enumerate() {
                    *share = shares.inside(from, to, pulses);
                }
            }
        }
        for (to, share) in all.anywhere.iter_mut().enumerate() {
            *share = shares.anywhere(to);
        }
        all
    }

    /// How often notes of a spot fall so far after it, in pulses, as a density; and how late that
    /// is, in standard deviations. `None` where they never do.
    pub fn usual(&self, state: usize, away: f64) -> Option<(f64, f64)> {
        let (shape, (mean, sd)) = self.shapes.get(state)?;
        let bin = away * BINS_A_PULSE + 0.5 * wide(BINS);
        if bin < 0.0 {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0")]
        let density = *shape.get(bin as usize)?;
        (density > UNUSUAL).then(|| (density, ((away - mean) / sd).clamp(-LATEST, LATEST)))
    }

    /// Whether it is known where notes usually fall.
    pub fn has_shapes(&self) -> bool {
        !self.shapes.is_empty()
    }

    /// Which spots there are at this rate, [`OTHER`] left out.
    pub fn possible(&self) -> impl Iterator<Item = bool> {
        let all = self.start.iter().zip(&self.anywhere).take(OTHER);
        all.map(|(start, anywhere)| *start > 0.0 || *anywhere > 0.0)
    }

    /// How likely a phrase starts on this spot.
    pub fn start(&self, to: usize) -> f64 {
        self.start.get(to).copied().unwrap_or_default()
    }

    /// How likely any note is on this spot, where nothing is known of the note before.
    pub fn anywhere(&self, to: usize) -> f64 {
        self.anywhere.get(to).copied().unwrap_or_default()
    }

    /// How likely a note inside a phrase is on spot `to`, `pulses` after the pulse of spot
    /// `from`, which the note before it was on.
    pub fn inside(&self, from: usize, to: usize, pulses: i64) -> f64 {
        let apart = usize::try_from(pulses).unwrap_or(0).min(APART - 1);
        let row = self.inside.get(apart).and_then(|by_from| by_from.get(from));
        row.and_then(|by_to| by_to.get(to)).copied().unwrap_or_default()
    }

    /// The same of a note that begins a phrase.
    pub fn begin(&self, from: usize, to: usize, pulses: i64) -> f64 {
        let (Some(a), Some(b)) = (STATES.get(from), STATES.get(to)) else { return 0.0 };
        if pulses == 0 && from != OTHER && to != OTHER && b.place <= a.place {
            return 0.0;
        }
        self.start(to)
    }
}

impl Shares {
    /// Starts from their weights. Those on the pulse are given as one, whatever the division.
    fn starts(&self, mut start: [f64; COUNT]) -> [f64; COUNT] {
        let base = self.enter.last().copied().unwrap_or_default();
        let on = start.first().copied().unwrap_or_default();
        for (share, state) in start.iter_mut().zip(STATES) {
            let of_division = base.get(state.division).copied().unwrap_or_default();
            if state.is_on() {
                *share = on * of_division;
            } else if of_division == 0.0 {
                *share = 0.0;
            }
        }
        normalise(&mut start);
        if let Some(other) = start.last_mut() {
            *other = OTHER_SHARE;
        }
        start
    }

    fn anywhere(&self, to: usize) -> f64 {
        /// A first note is looked for on any step.
        const LEAST: f64 = 0.1;
        if to == OTHER {
            return OTHER_SHARE;
        }
        self.enter(OTHER_DIVISION, to) * self.first(to).max(LEAST)
    }

    fn enter(&self, from: usize, to: usize) -> f64 {
        let division = STATES.get(to).map_or(OTHER_DIVISION, |s| s.division);
        self.enter.get(from).and_then(|row| row.get(division)).copied().unwrap_or_default()
    }

    fn first(&self, to: usize) -> f64 {
        self.weights.first.get(to).copied().unwrap_or_default()
    }

    fn inside(&self, from: usize, to: usize, pulses: usize) -> f64 {
        let (Some(a), Some(b)) = (STATES.get(from), STATES.get(to)) else { return 0.0 };
        if to == OTHER {
            return OTHER_SHARE;
        }
        if from == OTHER {
            return self.anywhere(to);
        }
        let enter = self.enter(a.division, to);
        if let Some(gap) = pulses.checked_sub(1).and_then(|gap| self.weights.gap.get(gap)) {
            let leave = self.weights.leave.get(from).copied().unwrap_or_default();
            return leave * gap * enter * self.first(to).max(UNLIKELY);
        }
        if a.division == b.division {
            let step = self.weights.step.get(from).and_then(|row| row.get(to)).copied();
            step.unwrap_or_default().max(if b.step >= a.step { UNLIKELY } else { 0.0 })
        } else if b.place >= a.place {
            UNLIKELY * enter
        } else {
            0.0
        }
    }
}

fn normalise(shares: &mut [f64]) {
    let sum: f64 = shares.iter().sum();
    if sum > 0.0 {
        shares.iter_mut().for_each(|share| *share /= sum);
    }
}

/// The shape at a rate, with its mean and standard deviation.
fn blend([slow, medium, fast]: &[Shape; RATES], rate: f64) -> (Shape, (f64, f64)) {
    let [low, middle, high] = SHAPE_RATES;
    let between = |from: f64, to: f64| ((rate / from).ln() / (to / from).ln()).clamp(0.0, 1.0);
    let (below, above) = (between(low, middle), between(middle, high));
    let mut shape = [0.0; BINS];
    for (slot, ((slow, medium), fast)) in shape.iter_mut().zip(slow.iter().zip(medium).zip(fast)) {
        *slot = slow + (medium - slow) * below + (fast - medium) * above;
    }
    let sum = |power: i32| -> f64 {
        let middles = (0..BINS).map(|bin| (wide(bin) + 0.5 - 0.5 * wide(BINS)) / BINS_A_PULSE);
        shape.iter().zip(middles).map(|(density, middle)| density * middle.powi(power)).sum()
    };
    let whole = sum(0).max(f64::MIN_POSITIVE);
    let mean = sum(1) / whole;
    /// No shape is narrower, in pulses.
    const NARROWEST: f64 = 0.01;
    (shape, (mean, (sum(2) / whole - mean * mean).max(NARROWEST * NARROWEST).sqrt()))
}

#[expect(clippy::cast_precision_loss, reason = "a number of bins")]
fn wide(bins: usize) -> f64 {
    bins as f64
}
