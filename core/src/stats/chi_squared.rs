//! The chi-squared distribution: how far the scatter of a sample may lie from that of what it was
//! drawn from.

use super::points::Points;
use core::f64::consts::PI;

/// From this many degrees of freedom on the cube of a normal variable stands for it, which is
/// exact to 1e-4 of the point there.
const MANY: u32 = 100;

/// Halvings that leave nothing a double could tell.
const HALVINGS: u32 = 80;

/// The 2.5 % and the 97.5 % point of the chi-squared distribution with this many degrees of
/// freedom; `None` for none.
///
/// Below 100 degrees by the finite sums for the probability, and from there on by the cube of a normal
/// variable (Abramowitz and Stegun 1964, 26.4.4, 26.4.5, 26.4.17).
#[must_use]
pub fn points_95(degrees: u32) -> Option<(f64, f64)> {
    static KNOWN: Points<(f64, f64), { MANY as usize }> = Points::new();
    let halved = |few| (by_halving(few, 0.975), by_halving(few, 0.025));
    match degrees {
        0 => None,
        few if few < MANY => Some(KNOWN.of(few, halved)),
        many => Some((by_cube(many, -1.0), by_cube(many, 1.0))),
    }
}

/// Where the probability of more is `beyond`. It is found by halving between 0 and a point that so few
/// degrees never reach.
fn by_halving(degrees: u32, beyond: f64) -> f64 {
    let (mut low, mut high) = (0.0, 2.0 * f64::from(MANY));
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if more_than(middle, degrees) > beyond {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// The probability of more than `x`: 26.4.4 for an odd number of degrees, 26.4.5 for an even one.
fn more_than(x: f64, degrees: u32) -> f64 {
    let odd = degrees % 2 == 1;
    let half = (-0.5 * x).exp();
    // Each term is the one before times x over the next odd number, or even one.
    let (beyond, mut term) = match odd {
        true => (libm::erfc((0.5 * x).sqrt()), half * (2.0 * x / PI).sqrt()),
        false => (half, half * 0.5 * x),
    };
    let mut sum = 0.0;
    let first = if odd { 3 } else { 4 };
    for next in (first..=degrees).step_by(2) {
        sum += term;
        term *= x / f64::from(next);
    }
    beyond + sum
}

/// 26.4.17, `side` of the middle.
fn by_cube(degrees: u32, side: f64) -> f64 {
    let degrees = f64::from(degrees);
    let part = 2.0 / (9.0 * degrees);
    degrees * (1.0 - part + side * crate::stats::Z_95 * part.sqrt()).powi(3)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the printed table of the 2.5 % and 97.5 % points (Abramowitz and Stegun 1964, table
    /// 26.8), from memory, to its last place.
    #[test]
    fn the_printed_table() {
        for (degrees, low, high) in [
            (1, 0.000_982, 5.023_9),
            (2, 0.050_6, 7.377_8),
            (3, 0.215_8, 9.348_4),
            (4, 0.484_4, 11.143_3),
            (5, 0.831_2, 12.832_5),
            (10, 3.247_0, 20.483_2),
            (20, 9.590_8, 34.169_6),
            (30, 16.790_8, 46.979_2),
            (60, 40.481_7, 83.297_6),
            (100, 74.221_9, 129.561),
        ] {
            let (got_low, got_high) = points_95(degrees).unwrap();
            let near = |got: f64, table: f64| (got - table).abs() < 5.1e-5_f64.max(table * 1e-4);
            assert!(near(got_low, low), "{degrees}: {got_low}, not {low}");
            assert!(near(got_high, high), "{degrees}: {got_high}, not {high}");
        }
        assert_eq!(points_95(0), None);
    }

    /// With two degrees the distribution is exponential: −2·ln of what lies beyond.
    #[test]
    fn the_closed_form() {
        let (low, high) = points_95(2).unwrap();
        assert!((low + 2.0 * 0.975_f64.ln()).abs() < 1e-12, "{low}");
        assert!((high + 2.0 * 0.025_f64.ln()).abs() < 1e-12, "{high}");
    }

    #[test]
    fn both_ways_meet() {
        for (side, beyond) in [(-1.0, 0.975), (1.0, 0.025)] {
            let (exact, cube) = (by_halving(MANY, beyond), by_cube(MANY, side));
            assert!((exact / cube - 1.0).abs() < 1e-4, "{exact} {cube}");
        }
        let low: Vec<f64> =
            (1..300).filter_map(|of| points_95(of).map(|points| points.0)).collect();
        assert!(low.is_sorted_by(|a, b| a < b));
    }
}
