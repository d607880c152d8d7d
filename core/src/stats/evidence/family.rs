//! Holm's procedure: which of several differences may be claimed together.

/// One of several differences.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Claim {
    pub p: f64,
    /// Its weight, in any unit.
    pub weight: f64,
}

/// Which claims hold if the family-wise error rate is to be at most `level`: Holm's step-down
/// procedure with weights (Holm 1979).
pub fn claims(all: &[Claim], level: f64) -> Vec<bool> {
    let mut order: Vec<usize> = (0..all.len()).collect();
    let strength = |index: &usize| all.get(*index).map_or(f64::INFINITY, |c| c.p / c.weight);
    order.sort_by(|a, b| strength(a).total_cmp(&strength(b)));
    let mut left: f64 = all.iter().map(|c| c.weight).sum();
    let mut held = vec![false; all.len()];
    for index in order {
        let Some(claim) = all.get(index).copied() else { break };
        // Multiplied out, so that a claim of weight 0 never holds.
        if claim.weight <= 0.0 || claim.p * left > level * claim.weight * (1.0 + 1e-12) {
            break;
        }
        if let Some(held) = held.get_mut(index) {
            *held = true;
        }
        left -= claim.weight;
    }
    held
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(claims_of: &[(f64, f64)]) -> Vec<bool> {
        let all: Vec<Claim> =
            claims_of.iter().map(|(p, weight)| Claim { p: *p, weight: *weight }).collect();
        claims(&all, 0.05)
    }

    /// Holm's own step: the least of four at 0.0125, the next at 0.0167, then 0.025 and 0.05.
    #[test]
    fn equal_weights_step_down() {
        let p = [(0.01, 1.0), (0.04, 1.0), (0.03, 1.0), (0.005, 1.0)];
        assert_eq!(of(&p), [true, false, false, true]);
        assert_eq!(of(&[(0.02, 1.0), (0.04, 1.0)]), [true, true]);
        assert_eq!(of(&[(0.03, 1.0), (0.04, 1.0)]), [false, false]);
        assert_eq!(of(&[]), [false; 0]);
    }

    #[test]
    fn weights_share_the_level_out() {
        assert_eq!(of(&[(0.04, 4.0), (0.5, 1.0)]), [true, false]);
        assert_eq!(of(&[(0.041, 4.0), (0.011, 1.0)]), [false, false]);
        // The second one's part goes to the first.
        assert_eq!(of(&[(0.041, 4.0), (0.009, 1.0)]), [true, true]);
        assert_eq!(of(&[(0.0, 0.0), (0.06, 1.0)]), [false, false]);
    }
}
