//! Which position a phrase start was meant for, given the wanted ones and the player's lag and swing
//! around it.

use super::bar_position::BarPosition;
use super::fit::{OFF_BEAT_LAG, SPREAD, USUAL_LAG};
use crate::input::note::Note;
use crate::quantization::BarLines;
use crate::quantization::PulseSubdivision;
use crate::take::settings::Pulse;
use crate::time::metre::Division;
use crate::time::tempo_map::TempoMap;
use crate::time::{Beat, BeatSpan, Tempo};

/// A player's timing around a phrase start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EntryTiming {
    /// How late notes on the beat are, in seconds.
    lag: f64,
    /// Position of the "and" in the pulse without its lag, from 0 to 1.
    and: f64,
}

/// Lags that are tried, in steps of 10 ms.
const LAGS: core::ops::RangeInclusive<i32> = -4..=8;

/// Largest lag, as a part of a pulse: with more, the note would be at another position.
const LARGEST_LAG: f64 = 0.25;

/// Positions of the "and" that are tried: straight to about 2.6 to one. In half-time only the first: the
/// host's eighths then divide a pulse in four, and the last one could be taken for a late "and".
const ANDS: [f64; 6] = [0.5, 0.55, 0.6, 0.64, 0.68, 0.72];

/// Share of notes on the beat, and on the "and"; the others are anywhere. Origin: nine in ten notes of
/// the labelled solos are on one or the other, rounded down because drills may ask for other positions.
const ON: f64 = 0.4;
const AND: f64 = 0.4;

impl EntryTiming {
    /// The likeliest timing of these notes.
    pub fn of(notes: &[Note], lines: BarLines<'_>, tempo: &TempoMap) -> Self {
        let placed: Vec<(f64, f64)> =
            notes.iter().filter_map(|note| in_pulse(note.on.beat, lines, tempo)).collect();
        let ands = if lines.pulse == Pulse::Half { &ANDS[..1] } else { &ANDS[..] };
        let mut best = (f64::NEG_INFINITY, Self { lag: USUAL_LAG.0, and: 0.5 });
        for lag in LAGS.map(|step| f64::from(step) * 0.010) {
            let usual = (lag - USUAL_LAG.0) / USUAL_LAG.1;
            for and in ands {
                let timing = Self { lag, and: *and };
                let likely = placed.iter().map(|(at, pulse)| timing.likelihood(*at, *pulse).ln());
                let score = likely.sum::<f64>() - 0.5 * usual * usual;
                if score > best.0 {
                    best = (score, timing);
                }
            }
        }
        best.1
    }

    /// The likelihood of a note at `at` in a pulse of `seconds`.
    fn likelihood(&self, at: f64, seconds: f64) -> f64 {
        let density = |meant| bell(wrapped(at - self.expected(meant, seconds)), seconds);
        ON * density(PulseSubdivision::On)
            + AND * density(PulseSubdivision::Half)
            + (1.0 - ON - AND)
    }

    /// Where in a pulse of `seconds` this player puts a subdivision, in pulses.
    fn expected(&self, subdivision: PulseSubdivision, seconds: f64) -> f64 {
        let lag = (self.lag / seconds).clamp(-LARGEST_LAG, LARGEST_LAG);
        match subdivision {
            PulseSubdivision::On => lag,
            PulseSubdivision::Half => self.and + OFF_BEAT_LAG * lag,
            _ => subdivision.share().unwrap_or(0.0) + OFF_BEAT_LAG * lag,
        }
    }

    /// The wanted position that a phrase start at `beat` was likeliest meant for, if that is likelier
    /// than all other positions.
    pub fn aimed_at(
        &self,
        beat: Beat,
        tempo: Tempo,
        wanted: &[BarPosition],
        lines: BarLines<'_>,
    ) -> Option<Deviation> {
        let around = wanted.iter().filter_map(|position| {
            let away = self.deviation(beat, tempo, *position, lines)?;
            Some((WANTED * bell(away.pulses, away.pulse_seconds), *position, away))
        });
        let (most, position, away) =
            around.reduce(|best, next| if next.0 > best.0 { next } else { best })?;
        let bar = lines.bar_at(beat);
        let (pulse, division) = lines.pulse_of(bar.metre);
        let seconds = tempo.seconds(pulse).0;
        let at = ((beat - bar.start).0 / pulse.0).rem_euclid(1.0);
        let other = |(subdivision, weight): &(PulseSubdivision, f64)| {
            weight * bell(wrapped(at - self.expected(*subdivision, seconds)), seconds)
        };
        let others: &[(PulseSubdivision, f64)] = match division {
            Division::Two => &OTHERS_IN_TWO,
            Division::Three => &OTHERS_IN_THREE,
        };
        let rival = others.iter().filter(|(other, _)| *other != position.subdivision).map(other);
        (most > rival.fold(0.0, f64::max)).then_some(away)
    }

    /// How far a note is from where this player would put `position`; `None` if no bar nearby has it.
    pub fn deviation(
        &self,
        beat: Beat,
        tempo: Tempo,
        position: BarPosition,
        lines: BarLines<'_>,
    ) -> Option<Deviation> {
        let bar = lines.bar_at(beat);
        let before = lines.bar_at(bar.start - BeatSpan(1e-6));
        let behind = lines.bar_at(bar.start + bar.metre.bar() + BeatSpan(1e-6));
        [before, bar, behind]
            .into_iter()
            .filter(|bar| position.pulse <= lines.pulses_in(bar.metre))
            .map(|bar| {
                let (pulse, _) = lines.pulse_of(bar.metre);
                let pulse_seconds = tempo.seconds(pulse).0;
                let in_pulse = self.expected(position.subdivision, pulse_seconds);
                let expected = f64::from(position.pulse) - 1.0 + in_pulse;
                Deviation {
                    pulses: (beat - bar.start).0 / pulse.0 - expected,
                    pulse_seconds,
                    notated: bar.start + BeatSpan(position.pulses() * pulse.0),
                }
            })
            .reduce(Deviation::nearer)
    }
}

/// How far a note is from a position.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviation {
    /// From where the player would put it, in pulses: late is positive.
    pub pulses: f64,
    pub pulse_seconds: f64,
    pub notated: Beat,
}

impl Deviation {
    /// The smaller of two, the first on a tie.
    pub fn nearer(self, next: Self) -> Self {
        if next.pulses.abs() < self.pulses.abs() { next } else { self }
    }
}

/// Prior probability of the wanted position, and of each subdivision if none is wanted, in one pulse.
/// Origin of the first: one start in three is meant for it, few enough that a start clearly elsewhere
/// counts as elsewhere. Origin of the others: phrase starts of 4/4 solos (Weimar Jazz Database, Pfleiderer
/// and others 2017), a quarter of each; in compound metres common practice, no source.
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

/// Position of a note in its pulse, from 0 to 1, and the length of the pulse in seconds.
fn in_pulse(beat: Beat, lines: BarLines<'_>, tempo: &TempoMap) -> Option<(f64, f64)> {
    let bar = lines.bar_at(beat);
    let (pulse, _) = lines.pulse_of(bar.metre);
    let at = (beat - bar.start).0 / pulse.0;
    Some((at.rem_euclid(1.0), tempo.tempo_at(beat)?.seconds(pulse).0))
}

/// The deviation from the nearest pulse: from −0.5 to 0.5.
fn wrapped(away: f64) -> f64 {
    away - away.round()
}

/// Probability density per pulse of a note `away` pulses from where it was meant.
fn bell(away: f64, seconds: f64) -> f64 {
    let spread = (SPREAD.0 / seconds).hypot(SPREAD.1);
    let z = away / spread;
    (-0.5 * z * z).exp() / (spread * core::f64::consts::TAU.sqrt())
}
