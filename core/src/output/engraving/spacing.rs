//! Horizontal spacing.
//!
//! Columns never touch. The remaining width of a line is distributed by duration: a note twice as long gets
//! about one and a half times the space (Blostein and Haken 1991, "Justification of printed music", from
//! memory).

/// The distance from one column to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gap {
    /// The least distance.
    pub least: f64,
    /// The ideal distance for its duration.
    pub ideal: f64,
}

/// The space of an eighth note.
const EIGHTH: f64 = 2.6;

/// The exponent of duration in the space of a note: 2 to this power is 1.46.
const POWER: f64 = 0.55;

/// The most that a line with few bars is stretched.
const MAX_STRETCH: f64 = 1.4;

/// How far a line is squeezed before its last bar goes to the next line.
const MIN_STRETCH: f64 = 0.75;

/// The ideal space of a duration in ticks.
pub(super) fn room(ticks: u32) -> f64 {
    let eighth = f64::from(crate::output::notation::QUARTER / 2);
    EIGHTH * (f64::from(ticks) / eighth).powf(POWER)
}

/// The distances that fill `width`. A line that is not `full` is stretched only a little; one that is too
/// crowded gets the least distances.
pub(super) fn fill(gaps: &[Gap], width: Option<f64>, full: bool) -> Vec<f64> {
    let at = |stretch: f64| gaps.iter().map(move |gap| gap.least.max(gap.ideal * stretch));
    let Some(width) = width else { return at(1.0).collect() };
    let (mut low, mut high) = (0.0, 64.0);
    for _ in 0..48 {
        let middle = f64::midpoint(low, high);
        if at(middle).sum::<f64>() > width { high = middle } else { low = middle }
    }
    at(if full { low } else { low.min(MAX_STRETCH) }).collect()
}

/// The least width at which a line is easy to read.
pub(super) fn readable(gaps: &[Gap]) -> f64 {
    gaps.iter().map(|gap| gap.least.max(gap.ideal * MIN_STRETCH)).sum()
}
