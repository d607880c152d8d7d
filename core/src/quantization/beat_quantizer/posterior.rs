//! The posterior probability of each subdivision for a note, from the candidates of its beat.

use super::costs::Candidates;
use crate::quantization::subdivision::PulseSubdivision;

const SUBDIVISIONS: [PulseSubdivision; 7] = [
    PulseSubdivision::On,
    PulseSubdivision::Half,
    PulseSubdivision::Third,
    PulseSubdivision::TwoThirds,
    PulseSubdivision::Quarter,
    PulseSubdivision::ThreeQuarters,
    PulseSubdivision::Other,
];

/// A probability for each of [`SUBDIVISIONS`].
pub(super) type Posterior = [f64; SUBDIVISIONS.len()];

/// Adds the posteriors of `notes` notes from these candidates, times `weight`; nothing without
/// candidates.
pub(super) fn add(
    to: &mut [Posterior],
    weight: f64,
    candidates: &Candidates,
    notes: usize,
    swings: bool,
) {
    let max = candidates.iter().map(|candidate| candidate.1).fold(f64::NEG_INFINITY, f64::max);
    let odds: Candidates =
        candidates.iter().map(|(assignment, likely)| (*assignment, (likely - max).exp())).collect();
    for (note, to) in to.iter_mut().enumerate().take(notes) {
        let mut shares = [0.0; SUBDIVISIONS.len()];
        for (assignment, odds) in &odds {
            let subdivision = assignment.subdivision(note, notes, swings);
            if let Some((_, share)) =
                SUBDIVISIONS.iter().zip(&mut shares).find(|(s, _)| **s == subdivision)
            {
                *share += odds;
            }
        }
        let whole: f64 = shares.iter().sum();
        let part = if whole > 0.0 { weight / whole } else { 0.0 };
        to.iter_mut().zip(shares).for_each(|(to, share)| *to += part * share);
    }
}

/// The likeliest subdivision with its probability. First decides between the beat, the "and" and the
/// rest, then within the rest.
pub(super) fn likeliest(shares: Posterior) -> (PulseSubdivision, f32) {
    let whole: f64 = shares.iter().sum();
    let [on, half, rest @ ..] = shares;
    let rest_sum: f64 = rest.iter().sum();
    let (from, to) = match () {
        () if on >= half && on >= rest_sum => (0, 1),
        () if half >= rest_sum => (1, 2),
        () => (2, SUBDIVISIONS.len()),
    };
    let of_kind = SUBDIVISIONS.iter().zip(shares).take(to).skip(from);
    let best =
        of_kind.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((&PulseSubdivision::Other, 0.0));
    #[expect(clippy::cast_possible_truncation, reason = "a probability, to seven digits")]
    let confidence = if whole > 0.0 { (best.1 / whole) as f32 } else { 0.0 };
    (*best.0, confidence)
}
