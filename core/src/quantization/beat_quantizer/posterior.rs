//! How likely a note has each spot, by ways of laying the notes of its beat.

use super::costs::Ways;
use crate::quantization::subdivision::PulseSubdivision;

/// The spots of notes.
const SLOTS: [PulseSubdivision; 7] = [
    PulseSubdivision::On,
    PulseSubdivision::Half,
    PulseSubdivision::Third,
    PulseSubdivision::TwoThirds,
    PulseSubdivision::Quarter,
    PulseSubdivision::ThreeQuarters,
    PulseSubdivision::Other,
];

/// A share for each of [`SLOTS`].
pub(super) type Shares = [f64; SLOTS.len()];

/// Adds, `weight` times, how likely each of `notes` notes has each spot by the ways of laying them;
/// nothing without any.
pub(super) fn add(to: &mut [Shares], weight: f64, ways: &Ways, notes: usize, swings: bool) {
    let most = ways.iter().map(|way| way.1).fold(f64::NEG_INFINITY, f64::max);
    let odds: Ways = ways.iter().map(|(lying, likely)| (*lying, (likely - most).exp())).collect();
    for (note, to) in to.iter_mut().enumerate().take(notes) {
        let mut shares = [0.0; SLOTS.len()];
        for (lying, odds) in &odds {
            let slot = lying.slot(note, notes, swings);
            if let Some((_, share)) = SLOTS.iter().zip(&mut shares).find(|(s, _)| **s == slot) {
                *share += odds;
            }
        }
        let whole: f64 = shares.iter().sum();
        let part = if whole > 0.0 { weight / whole } else { 0.0 };
        to.iter_mut().zip(shares).for_each(|(to, share)| *to += part * share);
    }
}

/// The likeliest spot, with its probability: first whether it is on the beat, on the "and" or
/// elsewhere, then where.
pub(super) fn likeliest(shares: Shares) -> (PulseSubdivision, f32) {
    let whole: f64 = shares.iter().sum();
    let [on, half, rest @ ..] = shares;
    let rest_sum: f64 = rest.iter().sum();
    let (from, to) = match () {
        () if on >= half && on >= rest_sum => (0, 1),
        () if half >= rest_sum => (1, 2),
        () => (2, SLOTS.len()),
    };
    let of_kind = SLOTS.iter().zip(shares).take(to).skip(from);
    let best =
        of_kind.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((&PulseSubdivision::Other, 0.0));
    #[expect(clippy::cast_possible_truncation, reason = "a probability, to seven digits")]
    let confidence = if whole > 0.0 { (best.1 / whole) as f32 } else { 0.0 };
    (*best.0, confidence)
}
