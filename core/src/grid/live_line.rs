//! The grid while it is tapped: a line that bends to each tap and never jumps or stands still.

use super::PULSE_SECONDS;
use super::anchors::beat_of;
use super::follower::FollowedBeat;
use crate::time::metre::Metre;
use crate::time::tempo_map::Knot;
use crate::time::{Beat, Second, SecondSpan, Tempo};

/// Within this share of a beat after a tap the line has bent to what the tap told. Origin: fitted to taps
/// with a person's errors on labelled solos.
const BENDS_WITHIN: f64 = 0.25;

/// While it bends, its tempo stays within this factor of the one that was followed.
const LARGEST_BEND: f64 = 2.0;

/// The song's position by the taps so far. Between two knots it is straight, whoever asks and when.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiveLine {
    metre: Metre,
    /// Where it bends, and where it is straight again.
    knots: [Knot; 2],
}

impl LiveLine {
    /// A line through a beat that was followed.
    #[must_use]
    pub fn through(metre: Metre, beat: FollowedBeat) -> Self {
        let second = beat.at;
        let knot = Knot { second, beat: beat_of(beat.pulse, metre), tempo: tempo_of(metre, beat) };
        Self { metre, knots: [knot, knot] }
    }

    /// Bends the line from `now` on towards what is known of the beat since the tap.
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

    /// The song's position.
    #[must_use]
    pub fn beat_at(&self, second: Second) -> Beat {
        let knot = self.knot_at(second);
        knot.beat + knot.tempo.beats(second - knot.second)
    }

    /// The tempo.
    #[must_use]
    pub fn tempo_at(&self, second: Second) -> Tempo {
        self.knot_at(second).tempo
    }

    /// Where it bends, and where it is straight again.
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
    // No metre has a pulse so long that its tempo is none.
    Tempo::new(metre.pulse().0 * 60.0 / period).unwrap_or(Tempo::COMMON)
}
