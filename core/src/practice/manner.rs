//! How this player places notes: a lag and a swing, estimated from the notes around an entry, and
//! with them which spot an entry was meant for, when it is known which one was asked for.

use super::bar_position::{BarPosition, SLOTS};
use crate::input::note::Note;
use crate::quantization::BarLines;
use crate::quantization::PulseSubdivision;
use crate::time::metre::Division;
use crate::time::tempo_map::TempoMap;
use crate::time::{Beat, BeatSpan, Tempo};

/// A player's timing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Manner {
    /// How late notes on the beat are, in seconds.
    pub lag: f64,
    /// Where the "and" lies in the pulse before its lag, from 0 to 1.
    pub and: f64,
}

/// The part of a lag that notes off the beat have; see [`super::fit`].
const OFF_BEAT_LAG: f64 = 0.5;

/// Spread of onsets: seconds, and a part of the pulse, added as squares; see [`super::fit`].
const SPREAD: (f64, f64) = (0.022, 0.02);

/// Lags tried, in steps of 10 ms, and how usual they are, in seconds: mean and spread; see
/// [`super::fit`].
const LAGS: core::ops::RangeInclusive<i32> = -4..=8;
const USUAL_LAG: (f64, f64) = (0.015, 0.030);

/// A lag is no more than this part of a pulse: beyond it, a note is heard in another place.
const LARGEST_LAG: f64 = 0.25;

/// Places of the "and" that are tried: straight to about 2.6 to one.
const ANDS: [f64; 6] = [0.5, 0.55, 0.6, 0.64, 0.68, 0.72];

/// Shares of notes on the beat and on the "and" among all; the others lie anywhere. Origin: nine in
/// ten notes of the labelled solos are one or the other, rounded down, as drills may ask for others.
const ON: f64 = 0.4;
const AND: f64 = 0.4;

impl Manner {
    /// As the notes say.
    pub fn of(notes: &[Note], lines: BarLines<'_>, tempo: &TempoMap) -> Self {
        let placed: Vec<(f64, f64)> =
            notes.iter().filter_map(|note| in_pulse(note.on.beat, lines, tempo)).collect();
        let mut best = (f64::NEG_INFINITY, Self { lag: USUAL_LAG.0, and: 0.5 });
        for lag in LAGS.map(|step| f64::from(step) * 0.010) {
            let usual = (lag - USUAL_LAG.0) / USUAL_LAG.1;
            for and in ANDS {
                let manner = Self { lag, and };
                let likely = placed.iter().map(|(at, pulse)| manner.likelihood(*at, *pulse).ln());
                let worth = likely.sum::<f64>() - 0.5 * usual * usual;
                if worth > best.0 {
                    best = (worth, manner);
                }
            }
        }
        best.1
    }

    /// Of a note at `at` in a pulse of `seconds`, with nothing known of what was meant.
    fn likelihood(&self, at: f64, seconds: f64) -> f64 {
        let bell = |slot| bell(wrapped(at - self.expected(slot, seconds)), seconds);
        ON * bell(PulseSubdivision::On) + AND * bell(PulseSubdivision::Half) + (1.0 - ON - AND)
    }

    /// Where in a pulse of `seconds` this player puts a slot, in pulses.
    pub fn expected(&self, slot: PulseSubdivision, seconds: f64) -> f64 {
        let lag = (self.lag / seconds).clamp(-LARGEST_LAG, LARGEST_LAG);
        let notated = SLOTS.iter().find(|(_, known, _)| *known == slot).map_or(0.0, |(.., at)| *at);
        match slot {
            PulseSubdivision::On => lag,
            PulseSubdivision::Half => self.and + OFF_BEAT_LAG * lag,
            _ => notated + OFF_BEAT_LAG * lag,
        }
    }

    /// Of the spots asked for, the one that an entry at `beat` was likeliest meant for, if any was
    /// likelier meant than all other places.
    pub fn aimed_at(
        &self,
        beat: Beat,
        tempo: Tempo,
        wanted: &[BarPosition],
        lines: BarLines<'_>,
    ) -> Option<Away> {
        let around = wanted.iter().filter_map(|spot| {
            let away = self.away(beat, tempo, *spot, lines)?;
            Some((WANTED * bell(away.pulses, away.pulse_seconds), *spot, away))
        });
        let (most, spot, away) =
            around.reduce(|best, next| if next.0 > best.0 { next } else { best })?;
        let bar = lines.bar_at(beat);
        let pulse = bar.metre.pulse();
        let seconds = tempo.seconds(pulse).0;
        let at = ((beat - bar.start).0 / pulse.0).rem_euclid(1.0);
        let other = |(slot, weight): &(PulseSubdivision, f64)| {
            weight * bell(wrapped(at - self.expected(*slot, seconds)), seconds)
        };
        let others: &[(PulseSubdivision, f64)] = match bar.metre.division() {
            Division::Two => &OTHERS_IN_TWO,
            Division::Three => &OTHERS_IN_THREE,
        };
        // The spot asked for is among the others too, and is then no rival of itself.
        let rival = others.iter().filter(|(slot, _)| *slot != spot.subdivision).map(other);
        (most > rival.fold(0.0, f64::max)).then_some(away)
    }

    /// How far a note lies from where this player would put a spot; `None` where no bar nearby has
    /// it.
    pub fn away(
        &self,
        beat: Beat,
        tempo: Tempo,
        spot: BarPosition,
        lines: BarLines<'_>,
    ) -> Option<Away> {
        let bar = lines.bar_at(beat);
        let before = lines.bar_at(bar.start - BeatSpan(1e-6));
        let behind = lines.bar_at(bar.start + bar.metre.bar() + BeatSpan(1e-6));
        [before, bar, behind]
            .into_iter()
            .filter(|bar| spot.pulse <= bar.metre.pulses())
            .map(|bar| {
                let pulse = bar.metre.pulse();
                let pulse_seconds = tempo.seconds(pulse).0;
                let at =
                    f64::from(spot.pulse) - 1.0 + self.expected(spot.subdivision, pulse_seconds);
                Away {
                    pulses: (beat - bar.start).0 / pulse.0 - at,
                    pulse_seconds,
                    spot: bar.start + BeatSpan(spot.pulses() * pulse.0),
                }
            })
            .reduce(|near, next| if next.pulses.abs() < near.pulses.abs() { next } else { near })
    }
}

/// How far a note lies from a spot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Away {
    /// From where the player would put it, in pulses: late is positive.
    pub pulses: f64,
    /// Length of the pulse in seconds.
    pub pulse_seconds: f64,
    /// The spot as notated.
    pub spot: Beat,
}

/// How usual it is that an entry was meant for the spot asked for, against how usual each slot is
/// where nothing was asked for, in one pulse. Origin of the others: phrase starts of 4/4 solos
/// (Weimar Jazz Database, Pfleiderer and others 2017), a quarter of each; in compound metres common
/// practice, no source. Origin of the first: one entry in three meant for the spot outright, so
/// that what is clearly elsewhere stays so.
const WANTED: f64 = 0.33;
const OTHERS_IN_TWO: [(PulseSubdivision, f64); 6] = [
    (PulseSubdivision::On, 0.087),
    (PulseSubdivision::Half, 0.078),
    (PulseSubdivision::Quarter, 0.024),
    (PulseSubdivision::ThreeQuarters, 0.024),
    (PulseSubdivision::Third, 0.008),
    (PulseSubdivision::TwoThirds, 0.008),
];
const OTHERS_IN_THREE: [(PulseSubdivision, f64); 4] = [
    (PulseSubdivision::On, 0.09),
    (PulseSubdivision::Third, 0.06),
    (PulseSubdivision::TwoThirds, 0.06),
    (PulseSubdivision::Half, 0.02),
];

/// Where a note lies in its pulse, from 0 to 1, and how long that lasts, in seconds.
fn in_pulse(beat: Beat, lines: BarLines<'_>, tempo: &TempoMap) -> Option<(f64, f64)> {
    let bar = lines.bar_at(beat);
    let pulse = bar.metre.pulse();
    let at = (beat - bar.start).0 / pulse.0;
    Some((at.rem_euclid(1.0), tempo.tempo_at(beat)?.seconds(pulse).0))
}

/// To the nearest pulse: from −0.5 to 0.5.
fn wrapped(away: f64) -> f64 {
    away - away.round()
}

/// Density a pulse of a note `away` pulses from where it was meant.
fn bell(away: f64, seconds: f64) -> f64 {
    let spread = (SPREAD.0 / seconds).hypot(SPREAD.1);
    let z = away / spread;
    (-0.5 * z * z).exp() / (spread * core::f64::consts::TAU.sqrt())
}
