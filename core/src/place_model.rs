//! Reads the spot inside a pulse that a note was meant for, from where it fell.
//!
//! A mixture of bell curves, one for each spot, over the position inside the pulse: how often
//! players mean the spot, where they play it, and how widely. The likeliest spot is the
//! reading, its share of the whole the confidence.

use crate::metre::Division;
use crate::place::Slot;
use crate::time::SecondSpan;

/// What is asked about the note: how often each spot is meant differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// It begins a phrase.
    PhraseStart,
    /// It is any other note.
    Inside,
}

/// A reading of one note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The likeliest spot.
    pub slot: Slot,
    /// It lies ahead of the next pulse and belongs to that one.
    pub anticipates: bool,
    /// How likely the spot is, from 0 to 1.
    pub confidence: f64,
}

/// One spot of the mixture.
#[derive(Debug, Clone, Copy)]
struct Spot {
    slot: Slot,
    /// Place in the pulse, from 0 to 1; 1 is the next pulse.
    place: f64,
    /// Mean deviation from it, in seconds.
    lag: f64,
    /// Spread: a part of the pulse and a part in seconds, added as squares.
    spread: f64,
    spread_seconds: f64,
    /// Relative frequency as a phrase start, and as any note.
    start: f64,
    inside: f64,
}

const SIMPLE: [Spot; 8] = [
    Spot {
        slot: Slot::On,
        place: 0.0,
        lag: 0.02,
        spread: 0.05,
        spread_seconds: 0.02,
        start: 0.35,
        inside: 0.32,
    },
    Spot {
        slot: Slot::Quarter,
        place: 0.25,
        lag: 0.0,
        spread: 0.06,
        spread_seconds: 0.0,
        start: 0.1,
        inside: 0.1,
    },
    Spot {
        slot: Slot::Third,
        place: 0.345,
        lag: 0.0,
        spread: 0.06,
        spread_seconds: 0.0,
        start: 0.045,
        inside: 0.05,
    },
    Spot {
        slot: Slot::Half,
        place: 0.55,
        lag: 0.0,
        spread: 0.09,
        spread_seconds: 0.0,
        start: 0.31,
        inside: 0.3,
    },
    Spot {
        slot: Slot::TwoThirds,
        place: 0.707,
        lag: 0.0,
        spread: 0.07,
        spread_seconds: 0.0,
        start: 0.045,
        inside: 0.05,
    },
    Spot {
        slot: Slot::ThreeQuarters,
        place: 0.79,
        lag: 0.0,
        spread: 0.06,
        spread_seconds: 0.0,
        start: 0.1,
        inside: 0.1,
    },
    Spot {
        slot: Slot::On,
        place: 1.0,
        lag: 0.02,
        spread: 0.05,
        spread_seconds: 0.02,
        start: 0.35,
        inside: 0.32,
    },
    Spot {
        slot: Slot::Other,
        place: 0.5,
        lag: 0.0,
        spread: f64::INFINITY,
        spread_seconds: 0.0,
        start: 0.08,
        inside: 0.08,
    },
];

const COMPOUND: [Spot; 8] = [
    Spot {
        slot: Slot::On,
        place: 0.0,
        lag: 0.015,
        spread: 0.04,
        spread_seconds: 0.02,
        start: 0.35,
        inside: 0.3,
    },
    Spot {
        slot: Slot::Sixth,
        place: 1.0 / 6.0,
        lag: 0.0,
        spread: 0.035,
        spread_seconds: 0.0,
        start: 0.06,
        inside: 0.06,
    },
    Spot {
        slot: Slot::Third,
        place: 1.0 / 3.0,
        lag: 0.0,
        spread: 0.045,
        spread_seconds: 0.0,
        start: 0.22,
        inside: 0.22,
    },
    Spot {
        slot: Slot::Half,
        place: 0.5,
        lag: 0.0,
        spread: 0.035,
        spread_seconds: 0.0,
        start: 0.06,
        inside: 0.06,
    },
    Spot {
        slot: Slot::TwoThirds,
        place: 2.0 / 3.0,
        lag: 0.0,
        spread: 0.045,
        spread_seconds: 0.0,
        start: 0.22,
        inside: 0.22,
    },
    Spot {
        slot: Slot::FiveSixths,
        place: 5.0 / 6.0,
        lag: 0.0,
        spread: 0.035,
        spread_seconds: 0.0,
        start: 0.06,
        inside: 0.06,
    },
    Spot {
        slot: Slot::On,
        place: 1.0,
        lag: 0.015,
        spread: 0.04,
        spread_seconds: 0.02,
        start: 0.35,
        inside: 0.3,
    },
    Spot {
        slot: Slot::Other,
        place: 0.5,
        lag: 0.0,
        spread: f64::INFINITY,
        spread_seconds: 0.0,
        start: 0.03,
        inside: 0.03,
    },
];

/// Reads a note that fell at `position` inside its pulse, from 0 to below 1, where a pulse
/// lasts `pulse`.
#[must_use]
pub fn read(position: f64, pulse: SecondSpan, division: Division, role: Role) -> Reading {
    let spots = match division {
        Division::Two => &SIMPLE,
        Division::Three => &COMPOUND,
    };
    let mut best = (0.0, &SIMPLE[0]);
    let mut whole = 0.0;
    for spot in spots {
        let weight = spot.weight(position, pulse.0, role);
        whole += weight;
        if weight > best.0 {
            best = (weight, spot);
        }
    }
    let (weight, spot) = best;
    Reading {
        slot: spot.slot,
        anticipates: spot.slot == Slot::On && spot.place > 0.5,
        confidence: if whole > 0.0 { weight / whole } else { 0.0 },
    }
}

impl Spot {
    fn weight(&self, position: f64, pulse_seconds: f64, role: Role) -> f64 {
        let often = match role {
            Role::PhraseStart => self.start,
            Role::Inside => self.inside,
        };
        if self.spread.is_infinite() {
            return often;
        }
        let spread = self.spread.hypot(self.spread_seconds / pulse_seconds);
        let away = (position - self.place - self.lag / pulse_seconds) / spread;
        often * (-0.5 * away * away).exp() / (spread * core::f64::consts::TAU.sqrt())
    }
}
