//! The tempo map of one pass, linear between knots.

use crate::time::{Beat, Second, SecondSpan, Tempo};
use serde::{Deserialize, Serialize};

/// A tempo change.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Knot {
    /// When.
    pub second: Second,
    /// At which song position.
    pub beat: Beat,
    /// The tempo up to the next knot.
    pub tempo: Tempo,
}

/// Tempo by time. The first knot extends backwards, the last one forwards without end. Seconds and beats
/// only run forward in a map; a jump of the transport starts another one.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct TempoMap {
    knots: Vec<Knot>,
}

impl TempoMap {
    /// A map of these knots; `None` if they are invalid.
    pub fn of(knots: Vec<Knot>) -> Option<Self> {
        Some(Self { knots }).filter(Self::is_sound)
    }

    /// Adds a knot and removes those at or after its second. A redundant knot is not added.
    pub fn push(&mut self, knot: Knot) {
        let keep = self.knots.partition_point(|k| k.second < knot.second);
        self.knots.truncate(keep);
        let new = self.knots.last().is_none_or(|last| {
            last.tempo != knot.tempo || (last.beat_at(knot.second).0 - knot.beat.0).abs() > 1e-9
        });
        if new {
            self.knots.push(knot);
        }
    }

    /// The knots in order; empty without a beat grid.
    pub fn knots(&self) -> &[Knot] {
        &self.knots
    }

    /// The song position at `second`; `None` without a beat grid.
    pub fn beat_at(&self, second: Second) -> Option<Beat> {
        let after = self.knots.partition_point(|k| k.second <= second);
        Some(self.knots.get(after.saturating_sub(1))?.beat_at(second))
    }

    /// When `beat` is reached; `None` without a beat grid.
    pub fn second_at(&self, beat: Beat) -> Option<Second> {
        let after = self.knots.partition_point(|k| k.beat <= beat);
        let knot = self.knots.get(after.saturating_sub(1))?;
        Some(Second(knot.second.0 + knot.tempo.seconds(beat - knot.beat).0))
    }

    /// The tempo at `beat`; `None` without a beat grid.
    pub fn tempo_at(&self, beat: Beat) -> Option<Tempo> {
        let after = self.knots.partition_point(|k| k.beat <= beat);
        Some(self.knots.get(after.saturating_sub(1))?.tempo)
    }

    /// Whether the knots are finite, and in order of seconds and beats.
    pub fn is_sound(&self) -> bool {
        self.knots.iter().all(|k| {
            k.second.0.is_finite()
                && k.beat.0.is_finite()
                && Tempo::new(k.tempo.quarters_a_minute()).is_some()
        }) && self.knots.is_sorted_by(|a, b| a.second < b.second && a.beat <= b.beat)
    }
}

impl Knot {
    fn beat_at(&self, second: Second) -> Beat {
        self.beat + self.tempo.beats(SecondSpan(second.0 - self.second.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::BeatSpan;

    fn knot(second: f64, beat: f64, tempo: f64) -> Knot {
        Knot { second: Second(second), beat: Beat(beat), tempo: Tempo::new(tempo).unwrap() }
    }

    #[test]
    fn through_a_change() {
        let mut map = TempoMap::default();
        assert_eq!(map.beat_at(Second(1.0)), None);
        map.push(knot(1.0, -4.0, 120.0));
        map.push(knot(3.0, 0.0, 60.0));
        map.push(knot(5.0, 2.0, 60.0));
        assert_eq!(map.knots().len(), 2);
        for (second, beat) in [(0.5, -5.0), (1.0, -4.0), (2.0, -2.0), (3.0, 0.0), (6.0, 3.0)] {
            assert_eq!(map.beat_at(Second(second)), Some(Beat(beat)));
            assert_eq!(map.second_at(Beat(beat)), Some(Second(second)));
        }
        assert_eq!(map.tempo_at(Beat(-0.1)), Tempo::new(120.0));
        assert_eq!(map.tempo_at(Beat(0.0) + BeatSpan(0.1)), Tempo::new(60.0));
        assert!(map.is_sound());
    }
}
