//! The live grid: a line that bends towards each beat and never jumps or stops.

use super::PULSE_SECONDS;
use super::anchors::beat_of;
use super::follower::FollowedBeat;
use crate::time::metre::Metre;
use crate::time::tempo_map::Knot;
use crate::time::{Beat, Second, SecondSpan, Tempo};

/// The line reaches a tap's estimate within this share of a beat. Origin: fitted to taps with human errors on
/// labelled solos.
const BENDS_WITHIN: f64 = 0.25;

/// The largest factor between the tempo while bending and the tempo that was followed.
const LARGEST_BEND: f64 = 2.0;

/// The song position from the beats so far: straight lines between the knots.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiveLine {
    metre: Metre,
    /// Where the bend starts, and where it ends.
    knots: [Knot; 2],
}

impl LiveLine {
    /// A straight line through a beat.
    #[must_use]
    pub fn through(metre: Metre, beat: FollowedBeat) -> Self {
        let second = beat.at;
        let knot = Knot { second, beat: beat_of(beat.pulse, metre), tempo: tempo_of(metre, beat) };
        Self { metre, knots: [knot, knot] }
    }

    /// Bends the line towards a new beat, from `now` on.
    pub fn bend(&mut self, now: Second, beat: FollowedBeat) {
        let here = self.beat_at(now);
        let straight = Self::through(self.metre, beat);
        let within = SecondSpan(BENDS_WITHIN * beat.period.0);
        let there = now + within;
        let tempo = tempo_of(self.metre, beat);
        let wanted = (straight.beat_at(there) - here).0 * 60.0 / within.0;
        let steady = tempo.quarters_a_minute();
        let bent = wanted.clamp(steady / LARGEST_BEND, steady * LARGEST_BEND);
        let bent = Tempo::new(bent).unwrap_or(tempo);
        let back = Knot { second: there, beat: here + bent.beats(within), tempo };
        self.knots = [Knot { second: now, beat: here, tempo: bent }, back];
    }

    /// The metre.
    #[must_use]
    pub fn metre(&self) -> Metre {
        self.metre
    }

    /// The song position at `second`.
    #[must_use]
    pub fn beat_at(&self, second: Second) -> Beat {
        let knot = self.knot_at(second);
        knot.beat + knot.tempo.beats(second - knot.second)
    }

    /// The tempo at `second`.
    #[must_use]
    pub fn tempo_at(&self, second: Second) -> Tempo {
        self.knot_at(second).tempo
    }

    /// Where the bend starts, and where it ends.
    #[must_use]
    pub fn knots(&self) -> [Knot; 2] {
        self.knots
    }

    fn knot_at(&self, second: Second) -> Knot {
        let [bent, straight] = self.knots;
        if second < straight.second { bent } else { straight }
    }
}

fn tempo_of(metre: Metre, beat: FollowedBeat) -> Tempo {
    let period = beat.period.0.clamp(*PULSE_SECONDS.start(), *PULSE_SECONDS.end());
    // Every metre's pulse gives a valid tempo.
    Tempo::new(metre.pulse().0 * 60.0 / period).unwrap_or(Tempo::COMMON)
}
