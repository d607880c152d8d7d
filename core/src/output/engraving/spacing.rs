//! Where things stand from left to right.
//!
//! Each stands at least as far from the next as both are wide. What a line has left to give goes by
//! duration: a note twice as long takes about one and a half times the room (Blostein and Haken 1991,
//! "Justification of printed music", from memory).

/// From one thing on a line to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gap {
    /// The least distance.
    pub least: f64,
    /// The distance that its duration asks for.
    pub ideal: f64,
}

/// The room of an eighth note.
const EIGHTH: f64 = 2.6;

/// The power of a duration that its room goes by: 2 to this is 1.46.
const POWER: f64 = 0.55;

/// The most that a line is stretched to be full, where it has few bars.
const MOST_STRETCH: f64 = 1.4;

/// How far a line is squeezed before a bar goes to the next one.
const LEAST_STRETCH: f64 = 0.75;

/// The room that a duration in ticks asks for.
pub(super) fn room(ticks: u32) -> f64 {
    let eighth = f64::from(crate::output::notation::QUARTER / 2);
    EIGHTH * (f64::from(ticks) / eighth).powf(POWER)
}

/// The distances that fill `width`. Those of a line that is not `full` are not stretched far; of one that
/// has too little room all are the least.
pub(super) fn fill(gaps: &[Gap], width: Option<f64>, full: bool) -> Vec<f64> {
    let at = |stretch: f64| gaps.iter().map(move |gap| gap.least.max(gap.ideal * stretch));
    let Some(width) = width else { return at(1.0).collect() };
    let (mut low, mut high) = (0.0, 64.0);
    for _ in 0..48 {
        let middle = f64::midpoint(low, high);
        if at(middle).sum::<f64>() > width { high = middle } else { low = middle }
    }
    at(if full { low } else { low.min(MOST_STRETCH) }).collect()
}

/// The least width at which a line is easy to read.
pub(super) fn readable(gaps: &[Gap]) -> f64 {
    gaps.iter().map(|gap| gap.least.max(gap.ideal * LEAST_STRETCH)).sum()
}
