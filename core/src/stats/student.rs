//! The t distribution of Student: how many standard errors a 95 % interval of a mean reaches.

use super::points::Points;
use core::f64::consts::FRAC_PI_2;

/// From this many degrees of freedom on the expansion in their reciprocal is exact to 1e-7.
const MANY: u32 = 30;

/// Halvings of the right angle that leave nothing a double could tell.
const HALVINGS: u32 = 60;

/// The 97.5 % point of the t distribution with this many degrees of freedom; `None` for none.
///
/// Below 30 degrees by the finite sums for the probability, and from there on by the expansion
/// in the reciprocal of the degrees (Abramowitz and Stegun 1964, 26.7.3, 26.7.4, 26.7.5).
#[must_use]
pub fn point_975(degrees: u32) -> Option<f64> {
    static KNOWN: Points<f64, { MANY as usize }> = Points::new();
    match degrees {
        0 => None,
        few if few < MANY => Some(KNOWN.of(few, by_halving)),
        many => Some(by_expansion(f64::from(many))),
    }
}

/// The angle whose probability is .95, found by halving; t is its tangent, times the root of
/// the degrees.
fn by_halving(degrees: u32) -> f64 {
    let (mut low, mut high) = (0.0, FRAC_PI_2);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if within(middle, degrees) < 0.95 {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high).tan() * f64::from(degrees).sqrt()
}

/// The probability that t lies between −√n·tan(angle) and √n·tan(angle), for n degrees: 26.7.3
/// for an odd number of them, 26.7.4 for an even one.
fn within(angle: f64, degrees: u32) -> f64 {
    let (sine, cosine) = angle.sin_cos();
    let odd = degrees % 2 == 1;
    // Each term is the one before times cos² and the next even number over the next odd one, or
    // the other way round.
    let mut term = if odd { sine * cosine } else { sine };
    let mut sum = 0.0;
    let first = if odd { 3 } else { 2 };
    for next in (first..=degrees).step_by(2) {
        sum += term;
        let next = f64::from(next);
        term *= cosine * cosine * (next - 1.0) / next;
    }
    if odd { (angle + sum) / FRAC_PI_2 } else { sum }
}

/// 26.7.5.
fn by_expansion(degrees: f64) -> f64 {
    let x: f64 = crate::stats::Z_95;
    let [x3, x5, x7, x9] = [3, 5, 7, 9].map(|power| x.powi(power));
    let terms = [
        x,
        (x3 + x) / 4.0,
        (5.0 * x5 + 16.0 * x3 + 3.0 * x) / 96.0,
        (3.0 * x7 + 19.0 * x5 + 17.0 * x3 - 15.0 * x) / 384.0,
        (79.0 * x9 + 776.0 * x7 + 1482.0 * x5 - 1920.0 * x3 - 945.0 * x) / 92_160.0,
    ];
    terms.into_iter().rev().fold(0.0, |sum, term| sum / degrees + term)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the printed table of the 97.5 % point (Fisher and Yates), to three places.
    #[test]
    fn the_printed_table() {
        for (degrees, point) in [
            (1, 12.706),
            (2, 4.303),
            (3, 3.182),
            (4, 2.776),
            (5, 2.571),
            (6, 2.447),
            (7, 2.365),
            (8, 2.306),
            (9, 2.262),
            (10, 2.228),
            (12, 2.179),
            (15, 2.131),
            (20, 2.086),
            (25, 2.060),
            (29, 2.045),
            (30, 2.042),
            (40, 2.021),
            (60, 2.000),
            (120, 1.980),
        ] {
            let got = point_975(degrees).unwrap();
            assert!((got - point).abs() < 0.000_51, "{degrees}: {got}, not {point}");
        }
        assert_eq!(point_975(0), None);
    }

    /// With one degree the distribution is Cauchy's and with two it has a closed form: t is
    /// tan(.95·π/2), and .95·√(2 / (1 − .95²)).
    #[test]
    fn the_closed_forms() {
        let one = point_975(1).unwrap();
        assert!((one - (0.95 * FRAC_PI_2).tan()).abs() < 1e-9, "{one}");
        let two = point_975(2).unwrap();
        assert!((two - 0.95 * (2.0_f64 / (1.0 - 0.95 * 0.95)).sqrt()).abs() < 1e-9, "{two}");
    }

    #[test]
    fn both_ways_meet_and_the_normal_point_is_the_limit() {
        assert!((by_halving(MANY) - by_expansion(f64::from(MANY))).abs() < 1e-7);
        let all: Vec<f64> = (1..200).filter_map(point_975).collect();
        assert!(all.is_sorted_by(|a, b| a > b));
        assert!((point_975(u32::MAX).unwrap() - crate::stats::Z_95).abs() < 1e-8);
    }
}
