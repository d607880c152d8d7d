//! The onsets of a phrase with their places: what every figure of time feel is read from.

use crate::phrase::{AnalysisContext, Phrase};
use crate::quantization::MetricalPosition;
use crate::quantization::PulseSubdivision;
use crate::time::metre::{Division, Metre};
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan, Second, SecondSpan, Tempo};

/// An onset of the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Onset {
    /// Its place, read by all of the take.
    pub place: MetricalPosition,
    /// The metre of the place's bar.
    pub metre: Metre,
    /// The tempo where it was played.
    pub tempo: Tempo,
    /// When it was played.
    pub second: Second,
}

impl Onset {
    /// Where the pulse of its place begins.
    #[must_use]
    pub fn pulse_start(&self) -> Beat {
        let pulses = f64::from(self.place.pulse) - 1.0;
        self.place.bar_start + BeatSpan(pulses * self.place.pulse_length.0)
    }

    /// Where inside its pulse it is meant to be, in twelfths of the pulse; `None` for no plain
    /// place.
    #[must_use]
    pub fn twelfths(&self) -> Option<u8> {
        match self.place.subdivision {
            PulseSubdivision::On => Some(0),
            PulseSubdivision::Sixth => Some(2),
            PulseSubdivision::Quarter => Some(3),
            PulseSubdivision::Third => Some(4),
            PulseSubdivision::Half => Some(6),
            PulseSubdivision::TwoThirds => Some(8),
            PulseSubdivision::ThreeQuarters => Some(9),
            PulseSubdivision::FiveSixths => Some(10),
            PulseSubdivision::Other => None,
        }
    }

    /// Whether it is on a pulse.
    #[must_use]
    pub fn is_on_beat(&self) -> bool {
        self.place.subdivision == PulseSubdivision::On
    }

    /// Whether its pulse divides in two.
    #[must_use]
    pub fn divides_in_two(&self) -> bool {
        self.metre.division() == Division::Two
    }

    /// Whether it is on the "and" of a pulse that divides in two.
    #[must_use]
    pub fn is_on_and(&self) -> bool {
        self.place.subdivision == PulseSubdivision::Half && self.divides_in_two()
    }

    /// How long its pulse lasts, in seconds.
    #[must_use]
    pub fn pulse_seconds(&self) -> f64 {
        self.tempo.seconds(self.place.pulse_length).0
    }

    /// Where it was played, in pulses from the start of its own.
    #[must_use]
    pub fn in_pulse(&self) -> f64 {
        self.place.played - f64::from(self.place.pulse)
    }

    /// How long after `beat` it was played.
    #[must_use]
    pub fn late_for(&self, beat: Beat) -> SecondSpan {
        self.tempo.seconds(self.place.beat - beat)
    }

    /// The middle of its pulse.
    #[must_use]
    pub fn straight_and(&self) -> Beat {
        self.pulse_start() + BeatSpan(0.5 * self.place.pulse_length.0)
    }

    /// Whether its pulse begins at `beat`. Bar lines that a change of metre put off the pulse
    /// leave some pulses without a next one.
    #[must_use]
    pub fn is_in_pulse_at(&self, beat: Beat) -> bool {
        is_same(self.pulse_start(), beat)
    }
}

/// Whether two places are one, but for rounding.
#[must_use]
pub fn is_same(a: Beat, b: Beat) -> bool {
    (a - b).0.abs() < POSITION_TOLERANCE.0
}

/// The onsets of `phrase`, in order; none without a beat grid.
#[must_use]
pub fn onsets(phrase: &Phrase, score: AnalysisContext<'_>) -> Vec<Onset> {
    let read = |index: usize| {
        let place = score.position(index)?;
        let tempo = score.tempo.tempo_at(place.beat)?;
        let metre = score.lines.bar_at(place.bar_start + POSITION_TOLERANCE).metre;
        let second = score.line.get(index)?.on(score.notes)?.second;
        Some(Onset { place, metre, tempo, second })
    };
    score.onsets(phrase).filter_map(read).collect()
}
