//! Four even taps that count in.

use super::PULSE_SECONDS;

/// How many taps count in, whatever the metre: the beat after them is beat one.
pub const COUNT_IN: usize = 4;

/// Taps of a count-in lie this near their line, as a share of the beat. Origin: people tap along within
/// 3 to 5 % of the beat (Repp 2005); three times that.
const EVEN: f64 = 0.15;

/// An even row of four taps: the least-squares line through them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct EvenRow {
    /// When the fourth tap was meant.
    pub last: f64,
    /// Seconds a beat.
    pub period: f64,
}

/// The line through the last four of these taps, if they are even.
pub(super) fn even_row(taps: &[f64]) -> Option<EvenRow> {
    let four = taps.get(taps.len().checked_sub(COUNT_IN)?..)?;
    let [first, second, third, fourth] = *four else { return None };
    let period = (3.0 * (fourth - first) + (third - second)) / 10.0;
    let last = (first + second + third + fourth) / 4.0 + 1.5 * period;
    if !PULSE_SECONDS.contains(&period) {
        return None;
    }
    let off = |(back, tap): (f64, f64)| (tap - (last - back * period)).abs();
    let even = [(3.0, first), (2.0, second), (1.0, third), (0.0, fourth)]
        .into_iter()
        .all(|point| off(point) <= EVEN * period);
    even.then_some(EvenRow { last, period })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_even_row_is_a_line_through_four_taps() {
        // By linear_regression of Python's statistics: slope .496, intercept 1.006.
        let row = even_row(&[0.2, 1.0, 1.52, 1.98, 2.5]).unwrap();
        assert!((row.period - 0.496).abs() < 1e-12 && (row.last - 2.494).abs() < 1e-12, "{row:?}");
        for uneven in [
            &[1.0, 1.5, 2.0][..],
            &[1.0, 1.5, 2.3, 2.5],
            &[1.0, 1.1, 1.2, 1.3],
            &[0.0, 4.0, 8.0, 12.0],
            &[0.0, f64::NAN, 1.0, 1.5],
        ] {
            assert_eq!(even_row(uneven), None, "{uneven:?}");
        }
    }
}
