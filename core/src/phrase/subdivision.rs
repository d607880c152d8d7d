//! The note values of a line: what each step from note to note is worth.

use crate::quantization::MetricalPosition;
use crate::quantization::PulseSubdivision;
use serde::Serialize;

/// The note value that prevails in a phrase.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Subdivision {
    /// Half notes.
    Half,
    /// Quarters.
    Quarter,
    /// Eighths, swung or straight.
    Eighth,
    /// Eighth triplets.
    Triplet,
    /// Sixteenths.
    Sixteenth,
    /// No value prevails, or there is but one note.
    Mixed,
}

impl Subdivision {
    /// Its name in reports.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Half => "half",
            Self::Quarter => "quarter",
            Self::Eighth => "eighth",
            Self::Triplet => "triplet",
            Self::Sixteenth => "sixteenth",
            Self::Mixed => "mixed",
        }
    }
}

/// A value prevails where at least this share of the steps has it. Origin: common practice, no
/// source.
const PREVAILING_SHARE: f64 = 0.6;

/// Longest and shortest a step may be against its value, as a factor. Origin: half the way, in
/// ratio, from an eighth to its triplet neighbour.
const VALUE_TOLERANCE: f64 = 1.224_744_871_391_589; // √1.5

/// What the step from one note to the next is worth; `None` for no plain value.
#[must_use]
pub fn step(from: &MetricalPosition, to: &MetricalPosition) -> Option<Subdivision> {
    let quarters = (to.beat - from.beat).0;
    // Swung eighths are long and short, but still lead from a beat to its "and" and on.
    let pair = matches!(
        (from.subdivision, to.subdivision),
        (PulseSubdivision::On, PulseSubdivision::Half)
            | (PulseSubdivision::Half, PulseSubdivision::On)
    );
    if pair && from.pulse_length.0 == 1.0 && (0.2..=0.8).contains(&quarters) {
        return Some(Subdivision::Eighth);
    }
    [
        (2.0, Subdivision::Half),
        (1.0, Subdivision::Quarter),
        (0.5, Subdivision::Eighth),
        (1.0 / 3.0, Subdivision::Triplet),
        (0.25, Subdivision::Sixteenth),
    ]
    .into_iter()
    .map(|(value, name)| (quarters.max(1e-9) / value, name))
    .filter(|(ratio, _)| (1.0 / VALUE_TOLERANCE..=VALUE_TOLERANCE).contains(ratio))
    .min_by(|(a, _), (b, _)| a.ln().abs().total_cmp(&b.ln().abs()))
    .map(|(_, name)| name)
}

/// Counts steps as they come.
#[derive(Debug, Clone, Copy, Default)]
pub struct StepCount {
    values: [u32; 5],
    steps: u32,
    eighths_in_a_row: u32,
    longest_eighths: u32,
}

impl StepCount {
    /// Takes the next step.
    pub fn push(&mut self, step: Option<Subdivision>) {
        self.steps = self.steps.saturating_add(1);
        let slot = match step {
            Some(Subdivision::Half) => 0,
            Some(Subdivision::Quarter) => 1,
            Some(Subdivision::Eighth) => 2,
            Some(Subdivision::Triplet) => 3,
            Some(Subdivision::Sixteenth) => 4,
            Some(Subdivision::Mixed) | None => 5,
        };
        if let Some(count) = self.values.get_mut(slot) {
            *count = count.saturating_add(1);
        }
        if step == Some(Subdivision::Eighth) {
            self.eighths_in_a_row = self.eighths_in_a_row.saturating_add(1);
            self.longest_eighths = self.longest_eighths.max(self.eighths_in_a_row);
        } else {
            self.eighths_in_a_row = 0;
        }
    }

    /// The value that prevails.
    #[must_use]
    pub fn prevailing(&self) -> Subdivision {
        let needed = PREVAILING_SHARE * f64::from(self.steps);
        let names = [
            Subdivision::Half,
            Subdivision::Quarter,
            Subdivision::Eighth,
            Subdivision::Triplet,
            Subdivision::Sixteenth,
        ];
        self.values
            .iter()
            .zip(names)
            .find(|(count, _)| **count > 0 && f64::from(**count) >= needed)
            .map_or(Subdivision::Mixed, |(_, name)| name)
    }

    /// Notes in the longest unbroken run of eighths: one more than its steps, 0 where there is
    /// none.
    #[must_use]
    pub fn longest_eighth_run(&self) -> u32 {
        if self.longest_eighths == 0 { 0 } else { self.longest_eighths.saturating_add(1) }
    }
}
