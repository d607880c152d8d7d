//! The onsets of a phrase with their places: what every figure of time feel is read from.

use crate::phrase::{AnalysisContext, Phrase};
use crate::quantization::MetricalPosition;
use crate::quantization::PulseSubdivision;
use crate::time::metre::{Division, Metre};
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan, Second, Tempo};

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

    /// Whether it has this place inside a pulse that divides in two.
    #[must_use]
    pub fn stands(&self, slot: PulseSubdivision) -> bool {
        self.place.subdivision == slot && self.metre.division() == Division::Two
    }

    /// Whether its pulse begins `span` after that of an earlier onset. Bar lines that a change
    /// of metre put off the pulse leave some pulses without a next one.
    #[must_use]
    pub fn follows(&self, earlier: &Self, span: BeatSpan) -> bool {
        let apart = self.pulse_start() - earlier.pulse_start();
        (apart - span).0.abs() < POSITION_TOLERANCE.0
    }
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
