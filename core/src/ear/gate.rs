//! Controllers whose note ends mean nothing: mallets and pads that give every note the same short
//! gate. Told from the notes themselves.

use super::intervals::Onset;

/// How many durations are looked back over, and how many are needed.
const LOOK_BACK: usize = 16;
const NEEDED: usize = 8;
/// The longest gate, in seconds. Origin: pads use 20 to 60 ms; doubled.
const LONGEST_GATE: f64 = 0.12;
/// How far a duration may be from the middle one, in seconds.
const SAME_WITHIN: f64 = 0.004;

/// Whether note ends mean nothing, as known at each onset.
#[must_use]
pub fn modes(onsets: &[Onset]) -> Vec<bool> {
    let next = onsets.iter().skip(1);
    let lengths: Vec<f64> = onsets.iter().zip(next).map(|(o, n)| o.end.min(n.at) - o.at).collect();
    (0..onsets.len())
        .map(|known| is_gate(lengths.get(known.saturating_sub(LOOK_BACK)..known)))
        .collect()
}

fn is_gate(lengths: Option<&[f64]>) -> bool {
    let Some(lengths) = lengths.filter(|l| l.len() >= NEEDED) else { return false };
    let mut sorted = lengths.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let Some(middle) = sorted.get(sorted.len() / 2).filter(|m| **m <= LONGEST_GATE) else {
        return false;
    };
    let alike = sorted.iter().filter(|l| (**l - middle).abs() <= SAME_WITHIN).count();
    // Seven in eight.
    alike * 8 >= sorted.len() * 7
}
