//! The difference of two samples of lengths, which are too skewed for the normal distribution: a
//! permutation test.

use super::{Fixed, SAME, draws};
use crate::stats::real;
use serde::Serialize;

/// The difference of two means, in the unit of the values.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LengthDifference {
    /// The first mean minus the second.
    pub difference: f64,
    /// The 95 % interval; `None` if the values are too few to bound it.
    pub interval: Option<(f64, f64)>,
    /// Twice the smaller of both one-sided probabilities, at most 1.
    pub p: f64,
    /// Whether all arrangements were enumerated, not drawn.
    pub exact: bool,
}

/// Up to this many arrangements are enumerated: two samples of eight have 12,870.
const MAX_EXACT: u64 = 20_000;

/// The seed of the arrangements drawn; arbitrary.
const SEED: u64 = 1;

/// The permutation test of two means (Fisher 1935, Pitman 1937). The interval holds every shift of the
/// first sample that the test does not reject at 5 % (Hartigan 1969); the observed arrangement counts
/// among those drawn (Phipson and Smyth 2010). `None` if a sample is empty.
pub fn length_difference(first: &[f64], second: &[f64]) -> Option<LengthDifference> {
    let (n, m) = (first.len(), second.len());
    if n == 0 || m == 0 {
        return None;
    }
    let pooled: Vec<f64> = first.iter().chain(second).copied().collect();
    let deal = Deal::new(&pooled, n);
    let difference = deal.difference(pooled.iter().take(n).sum());
    let drawn = draws(n + m);
    let exact = choose(n + m, n).is_some_and(|all| all <= MAX_EXACT);
    let mut shifts = Vec::new();
    let mut take = |picked: &[usize]| {
        let own = picked.iter().filter(|i| **i < n).count();
        // The observed arrangement: no shift changes the difference.
        if own == n {
            return;
        }
        let sum = picked.iter().filter_map(|i| pooled.get(*i)).sum();
        let kept = deal.kept(own);
        shifts.push((difference - deal.difference(sum)) / (1.0 - kept));
    };
    if exact {
        let mut picked: Vec<usize> = (0..n).collect();
        loop {
            take(&picked);
            if !advance(&mut picked, n + m) {
                break;
            }
        }
    } else {
        let mut fixed = Fixed::new(SEED);
        let mut order: Vec<usize> = (0..n + m).collect();
        for _ in 0..drawn {
            fixed.draw(&mut order, n);
            take(order.get(..n).unwrap_or_default());
        }
    }
    shifts.sort_unstable_by(f64::total_cmp);
    // Including the observed arrangement.
    let all = if exact { shifts.len() + 1 } else { drawn as usize + 1 };
    Some(LengthDifference {
        difference,
        interval: interval(&shifts, all),
        p: p(&shifts, all, deal.grain()),
        exact,
    })
}

/// The pooled values to arrange.
struct Deal {
    first: f64,
    second: f64,
    total: f64,
    greatest: f64,
}

impl Deal {
    fn new(pooled: &[f64], first: usize) -> Self {
        Self {
            first: real(first),
            second: real(pooled.len() - first),
            total: pooled.iter().sum(),
            greatest: pooled.iter().fold(0.0, |most, x| x.abs().max(most)),
        }
    }

    /// First mean minus second, if the first sample sums to `sum`.
    fn difference(&self, sum: f64) -> f64 {
        sum / self.first - (self.total - sum) / self.second
    }

    /// The part of a shift of the first sample that remains in the difference if the arrangement
    /// leaves it `own` of its values.
    fn kept(&self, own: usize) -> f64 {
        real(own) / self.first - (self.first - real(own)) / self.second
    }

    fn grain(&self) -> f64 {
        SAME * self.greatest
    }
}

/// An arrangement is as extreme as the observed one from its own shift on, so the ends of the interval
/// are order statistics of the shifts.
fn interval(shifts: &[f64], all: usize) -> Option<(f64, f64)> {
    // One in forty, rounded down.
    let outside = (all / 40).checked_sub(1)?;
    let low = *shifts.get(outside)?;
    let high = *shifts.iter().rev().nth(outside)?;
    Some((low, high))
}

fn p(shifts: &[f64], all: usize, grain: f64) -> f64 {
    let same = all - shifts.len();
    let above = shifts.partition_point(|s| *s <= grain) + same;
    let below = shifts.len() - shifts.partition_point(|s| *s < -grain) + same;
    (2.0 * real(above.min(below)) / real(all)).min(1.0)
}

/// The binomial coefficient of `n` and `k`; `None` far beyond [`MAX_EXACT`].
fn choose(n: usize, k: usize) -> Option<u64> {
    let mut ways = 1_u64;
    for i in 0..k.min(n - k) {
        let (up, down) = (u64::try_from(n - i).ok()?, u64::try_from(i + 1).ok()?);
        ways = ways.checked_mul(up)? / down;
        if ways > 1 << 40 {
            return None;
        }
    }
    Some(ways)
}

/// The next ascending choice of indices below `end`; `false` after the last.
fn advance(picked: &mut [usize], end: usize) -> bool {
    let count = picked.len();
    let Some(at) =
        (0..count).rev().find(|at| picked.get(*at).is_some_and(|i| i + count < end + at))
    else {
        return false;
    };
    let Some(from) = picked.get(at).copied() else { return false };
    for (later, index) in picked.iter_mut().skip(at).zip(from + 1..) {
        *later = index;
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    const A: [f64; 8] = [4.0, 7.0, 5.0, 9.0, 6.0, 8.0, 12.0, 5.0];
    const B: [f64; 8] = [8.0, 11.0, 9.0, 14.0, 10.0, 13.0, 7.0, 12.0];

    /// Source of p: scipy 1.17, `permutation_test` over all 12,870 arrangements of the means.
    #[test]
    fn two_samples_of_eight_in_full() {
        let got = length_difference(&A, &B).unwrap();
        assert!(got.exact);
        assert_eq!(got.difference, -3.5);
        assert!((got.p - 0.022_999).abs() < 1e-6, "{got:?}");
        // The interval is what the test does not rule out: at its ends p crosses 0.05.
        let (low, high) = got.interval.unwrap();
        for (shift, kept) in
            [(low - 0.01, false), (low + 0.01, true), (high - 0.01, true), (high + 0.01, false)]
        {
            let shifted = A.map(|a| a - shift);
            assert_eq!(length_difference(&shifted, &B).unwrap().p > 0.05, kept, "{shift}");
        }
    }

    #[test]
    fn drawn_arrangements_come_close_to_all_of_them() {
        // Four times the same figures: too many arrangements to go through.
        let (a, b) = (A.repeat(4), B.repeat(4));
        let drawn = length_difference(&a, &b).unwrap();
        assert!(!drawn.exact && drawn.p < 0.001, "{drawn:?}");
        assert_eq!(drawn, length_difference(&a, &b).unwrap());
        // 95 % interval of Welch's test by scipy 1.17: -4.70 to -2.30.
        let (low, high) = drawn.interval.unwrap();
        assert!((low + 4.70).abs() < 0.1 && (high + 2.30).abs() < 0.1, "{drawn:?}");
    }

    #[test]
    fn too_few_figures_bound_nothing() {
        assert_eq!(length_difference(&[], &B), None);
        let few = length_difference(&[1.0, 2.0], &[5.0, 6.0]).unwrap();
        assert_eq!(few.interval, None);
        // Two of the six arrangements are as extreme.
        assert!((few.p - 2.0 / 6.0).abs() < 1e-12, "{few:?}");
        let same = length_difference(&[1.0; 5], &[1.0; 6]).unwrap();
        assert_eq!((same.difference, same.p), (0.0, 1.0));
    }
}
