//! Note values: the interval from each note of a line to the next.

use crate::quantization::{MetricalPosition, PulseSubdivision};
use serde::Serialize;

/// A note value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum NoteValue {
    /// Half notes.
    Half,
    /// Quarters.
    Quarter,
    /// Eighths, swung or straight.
    Eighth,
    /// Eighth triplets: thirds of a quarter.
    Triplet,
    /// Sixteenths.
    Sixteenth,
}

impl NoteValue {
    /// All values, the longest first.
    pub const ALL: [Self; 5] =
        [Self::Half, Self::Quarter, Self::Eighth, Self::Triplet, Self::Sixteenth];

    /// Its length in quarter notes.
    pub fn quarters(self) -> f64 {
        match self {
            Self::Half => 2.0,
            Self::Quarter => 1.0,
            Self::Eighth => 0.5,
            Self::Triplet => 1.0 / 3.0,
            Self::Sixteenth => 0.25,
        }
    }

    /// Its name in reports and files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Half => "half",
            Self::Quarter => "quarter",
            Self::Eighth => "eighth",
            Self::Triplet => "triplet",
            Self::Sixteenth => "sixteenth",
        }
    }

    /// The value of this name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|value| value.name() == name)
    }
}

/// A value prevails from this share of the intervals. Origin: common practice, no source.
const PREVAILING_SHARE: f64 = 0.6;

/// Tolerance of an interval, as a factor. Origin: half-way, in ratio, from an eighth to a triplet.
const VALUE_TOLERANCE: f64 = 1.224_744_871_391_589; // √1.5

/// The note value from one note to the next; `None` if there is none.
pub fn step(from: &MetricalPosition, to: &MetricalPosition) -> Option<NoteValue> {
    let quarters = (to.beat - from.beat).0;
    // Swung eighths are long and short, but still lead from a beat to its "and" and on.
    let pair = matches!(
        (from.subdivision, to.subdivision),
        (PulseSubdivision::On, PulseSubdivision::Half)
            | (PulseSubdivision::Half, PulseSubdivision::On)
    );
    if pair && from.pulse_length.0 == 1.0 && (0.2..=0.8).contains(&quarters) {
        return Some(NoteValue::Eighth);
    }
    NoteValue::ALL
        .into_iter()
        .map(|value| (quarters.max(1e-9) / value.quarters(), value))
        .filter(|(ratio, _)| (1.0 / VALUE_TOLERANCE..=VALUE_TOLERANCE).contains(ratio))
        .min_by(|(a, _), (b, _)| a.ln().abs().total_cmp(&b.ln().abs()))
        .map(|(_, value)| value)
}

/// Counts note values.
#[derive(Debug, Clone, Copy, Default)]
pub struct StepCount {
    values: [u32; 5],
    steps: u32,
    eighths_in_a_row: u32,
    longest_eighths: u32,
}

impl StepCount {
    /// Adds the next interval.
    pub fn push(&mut self, step: Option<NoteValue>) {
        self.steps = self.steps.saturating_add(1);
        for (value, count) in NoteValue::ALL.into_iter().zip(&mut self.values) {
            *count = count.saturating_add(u32::from(step == Some(value)));
        }
        if step == Some(NoteValue::Eighth) {
            self.eighths_in_a_row = self.eighths_in_a_row.saturating_add(1);
            self.longest_eighths = self.longest_eighths.max(self.eighths_in_a_row);
        } else {
            self.eighths_in_a_row = 0;
        }
    }

    /// The prevailing value, if there is one.
    pub fn prevailing(&self) -> Option<NoteValue> {
        let needed = PREVAILING_SHARE * f64::from(self.steps);
        let prevails = |count: u32| count > 0 && f64::from(count) >= needed;
        let counts = NoteValue::ALL.into_iter().zip(self.values);
        counts.filter(|(_, count)| prevails(*count)).map(|(value, _)| value).next()
    }

    /// Notes in the longest unbroken run of eighths; 0 without one.
    pub fn longest_eighth_run(&self) -> u32 {
        if self.longest_eighths == 0 { 0 } else { self.longest_eighths.saturating_add(1) }
    }
}
