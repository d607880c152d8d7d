//! The onsets of a phrase with their positions, from which every figure of time feel is computed.

use crate::phrase::{AnalysisContext, Phrase};
use crate::quantization::MetricalPosition;
use crate::quantization::PulseSubdivision;
use crate::time::metre::{Division, Metre};
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan, Second, SecondSpan, Tempo};

/// An onset of the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Onset {
    pub position: MetricalPosition,
    pub metre: Metre,
    /// How its felt pulse divides.
    pub division: Division,
    /// The tempo where it was played.
    pub tempo: Tempo,
    /// When it was played.
    pub second: Second,
}

impl Onset {
    /// The notated position inside its pulse, in twelfths; `None` for [`PulseSubdivision::Other`].
    pub fn twelfths(&self) -> Option<u8> {
        match self.position.subdivision {
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

    pub fn is_on_beat(&self) -> bool {
        self.position.subdivision == PulseSubdivision::On
    }

    /// Whether its felt pulse divides in two.
    pub fn divides_in_two(&self) -> bool {
        self.division == Division::Two
    }

    /// Whether it is on the "and" of a pulse that divides in two.
    pub fn is_on_and(&self) -> bool {
        self.position.subdivision == PulseSubdivision::Half && self.divides_in_two()
    }

    pub fn pulse_seconds(&self) -> f64 {
        self.tempo.seconds(self.position.pulse_length).0
    }

    /// Where it was played, in pulses from the start of its pulse.
    pub fn in_pulse(&self) -> f64 {
        self.position.played - f64::from(self.position.pulse)
    }

    /// How late it was played for `beat`.
    pub fn late_for(&self, beat: Beat) -> SecondSpan {
        self.tempo.seconds(self.position.beat - beat)
    }

    /// The middle of its pulse.
    pub fn straight_and(&self) -> Beat {
        self.position.pulse_start() + BeatSpan(0.5 * self.position.pulse_length.0)
    }

    /// Whether its pulse begins at `beat`. After a change of metre off the pulse, some pulses have no
    /// next one.
    pub fn is_in_pulse_at(&self, beat: Beat) -> bool {
        is_same(self.position.pulse_start(), beat)
    }
}

/// Whether two positions are equal up to rounding.
pub fn is_same(a: Beat, b: Beat) -> bool {
    (a - b).0.abs() < POSITION_TOLERANCE.0
}

/// The onsets of `phrase`, in order; none without a beat grid.
pub fn onsets(phrase: &Phrase, context: AnalysisContext<'_>) -> Vec<Onset> {
    let read = |index: usize| {
        let position = context.position(index)?;
        let tempo = context.tempo.tempo_at(position.beat)?;
        let metre = context.lines.bar_at(position.bar_start + POSITION_TOLERANCE).metre;
        let (_, division) = context.lines.pulse_of(metre);
        let second = context.line.get(index)?.on(context.notes)?.second;
        Some(Onset { position, metre, division, tempo, second })
    };
    context.onsets(phrase).filter_map(read).collect()
}
