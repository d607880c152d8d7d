//! Where in the bar a drill's hits and misses were, for drawing.

use super::chorus::Chorus;
use super::take_so_far::TakeSoFar;
use crate::quantization::MetricalPosition;
use std::sync::Arc;

/// The outcome of one note or phrase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// It was where the drill asked for it.
    Hit,
    /// It was elsewhere.
    Elsewhere,
    /// It was due but not played.
    Missing,
}

/// One note or phrase in its bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Landing {
    /// Pulses after the bar line; below 0 if a little early for beat one.
    pub pulses: f32,
    /// Its outcome.
    pub outcome: Outcome,
}

/// What a goal counted in a chorus, as positions in a bar.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Landings {
    /// Pulses of the chorus's first bar.
    pub bar: f32,
    /// The target positions, in pulses after the bar line.
    pub aims: Arc<[f32]>,
    /// The landings, in order; at most [`MAX_LANDINGS`].
    pub all: Arc<[Landing]>,
    /// How many more there were.
    pub more: u32,
}

/// Most landings kept of a goal in a chorus. Origin: 32 bars of eighths.
pub const MAX_LANDINGS: usize = 256;

/// This many of the newest choruses keep their landings: a round of the most choruses a drill can have.
pub(super) const MAX_CHORUSES_DRAWN: usize = 64;

/// A landing up to this many pulses before the bar line is drawn at the bar line. Origin: half the smallest
/// subdivision of a drill.
const EARLY: f64 = 0.125;

/// Collects the landings of a chorus.
pub(super) struct LandingList {
    bar: f64,
    aims: Vec<f32>,
    all: Vec<Landing>,
    more: u32,
}

impl LandingList {
    pub fn new(chorus: &Chorus, so_far: &TakeSoFar<'_>) -> Self {
        let bar = chorus.bar_at(chorus.start).1;
        let bar = f64::from(so_far.lines.pulses_in(bar.metre)).max(1.0);
        Self { bar, aims: Vec::new(), all: Vec::new(), more: 0 }
    }

    /// Adds target positions, in pulses after the bar line.
    pub fn ask(&mut self, positions: impl Iterator<Item = f64>) {
        self.aims.extend(positions.filter(|at| *at < self.bar).map(short));
    }

    /// Makes every off-beat of the bar a target.
    pub fn ask_off_beats(&mut self) {
        let pulses = (0..=u8::MAX).map(|pulse| f64::from(pulse) + 0.5);
        self.aims = pulses.take_while(|at| *at < self.bar).map(short).collect();
    }

    pub fn push(&mut self, pulses: f64, outcome: Outcome) {
        if self.all.len() >= MAX_LANDINGS {
            self.more = self.more.saturating_add(1);
            return;
        }
        let pulses = (pulses + EARLY).rem_euclid(self.bar) - EARLY;
        self.all.push(Landing { pulses: short(pulses), outcome });
    }

    /// Adds a note at its played position.
    pub fn push_played(&mut self, at: &MetricalPosition, hit: bool) {
        let into = (at.beat - at.pulse_start()).0 / at.pulse_length.0;
        let outcome = if hit { Outcome::Hit } else { Outcome::Elsewhere };
        self.push(f64::from(at.pulse) - 1.0 + into, outcome);
    }

    pub fn done(self) -> Landings {
        Landings {
            bar: short(self.bar),
            aims: self.aims.into(),
            all: self.all.into(),
            more: self.more,
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "pulses of a bar, to be drawn")]
fn short(pulses: f64) -> f32 {
    pulses as f32
}
