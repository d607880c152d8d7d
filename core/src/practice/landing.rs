//! Where in the bar what a drill counts has come, to be drawn.

use super::chorus::Chorus;
use super::take_so_far::TakeSoFar;
use crate::quantization::MetricalPosition;
use std::sync::Arc;

/// What came of one note or phrase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// It came where it was asked for.
    Hit,
    /// It came elsewhere.
    Elsewhere,
    /// It was due and did not come.
    Missing,
}

/// One note or phrase in its bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Landing {
    /// Pulses behind the bar line; what comes a little early on beat one is below 0.
    pub pulses: f32,
    /// What came of it.
    pub outcome: Outcome,
}

/// What a goal counted in a chorus, as places in a bar.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Landings {
    /// Pulses of the chorus's first bar.
    pub bar: f32,
    /// The places that were asked for, in pulses behind the bar line.
    pub aims: Arc<[f32]>,
    /// What came, in order; at most [`MOST_LANDINGS`].
    pub all: Arc<[Landing]>,
    /// Those beyond.
    pub more: u32,
}

/// Most places that are kept of a goal in a chorus. Origin: 32 bars of eighths.
pub const MOST_LANDINGS: usize = 256;

/// So many of the newest choruses keep their places: a round of the most choruses a drill can have.
pub(super) const MOST_CHORUSES_DRAWN: usize = 64;

/// What comes this many pulses before the bar line is drawn at the bar line. Origin: half of the
/// smallest subdivision of a drill.
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

    /// Asks for places, in pulses behind the bar line.
    pub fn ask(&mut self, places: impl Iterator<Item = f64>) {
        self.aims.extend(places.filter(|at| *at < self.bar).map(short));
    }

    /// Asks for every off-beat of the bar.
    pub fn ask_off_beats(&mut self) {
        let pulses = (0..=u8::MAX).map(|pulse| f64::from(pulse) + 0.5);
        self.aims = pulses.take_while(|at| *at < self.bar).map(short).collect();
    }

    pub fn push(&mut self, pulses: f64, outcome: Outcome) {
        if self.all.len() >= MOST_LANDINGS {
            self.more = self.more.saturating_add(1);
            return;
        }
        let pulses = (pulses + EARLY).rem_euclid(self.bar) - EARLY;
        self.all.push(Landing { pulses: short(pulses), outcome });
    }

    /// A note where it was played.
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
