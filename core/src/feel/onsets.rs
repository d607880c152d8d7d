//! The onsets of a phrase with their places: what every figure of time feel is read from.

use crate::metre::{Division, Metre};
use crate::metre_map::POSITION_TOLERANCE;
use crate::phrase::{Phrase, Score};
use crate::place::Place;
use crate::place_model::Role;
use crate::slot::Slot;
use crate::time::{Beat, BeatSpan, Second, Tempo};

/// An onset: one note, or several struck together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Onset {
    /// Its place, read as any note's of a line.
    pub place: Place,
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
        match self.place.slot {
            Slot::On => Some(0),
            Slot::Sixth => Some(2),
            Slot::Quarter => Some(3),
            Slot::Third => Some(4),
            Slot::Half => Some(6),
            Slot::TwoThirds => Some(8),
            Slot::ThreeQuarters => Some(9),
            Slot::FiveSixths => Some(10),
            Slot::Other => None,
        }
    }

    /// Whether it has this place inside a pulse that divides in two.
    #[must_use]
    pub fn stands(&self, slot: Slot) -> bool {
        self.place.slot == slot && self.metre.division() == Division::Two
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
pub fn onsets(phrase: &Phrase, score: Score<'_>) -> Vec<Onset> {
    let notes = score.notes.get(phrase.first_note..=phrase.last_note).unwrap_or_default();
    let read = |struck: &[crate::note::Note]| {
        let on = struck.first()?.on;
        let tempo = score.tempo.tempo_at(on.beat)?;
        let place = score.lines.place(on.beat, tempo, Role::Inside);
        let metre = score.lines.bar_at(place.bar_start + POSITION_TOLERANCE).metre;
        Some(Onset { place, metre, tempo, second: on.second })
    };
    notes.chunk_by(|a, b| a.on.second == b.on.second).filter_map(read).collect()
}
