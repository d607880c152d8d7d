//! A count-in of four even taps.

use super::PULSE_SECONDS;

/// Taps in a count-in, whatever the metre: the beat after them is beat one.
pub const COUNT_IN: usize = 4;

/// The largest distance of a tap from the fitted line, as a share of the beat. Origin: people tap along
/// within 3 to 5 % of the beat (Repp 2005); three times that.
const TOLERANCE: f64 = 0.15;

/// The least-squares line through four even taps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TapLine {
    /// The fitted time of the fourth tap.
    pub last: f64,
    /// The beat period, in seconds.
    pub period: f64,
}

/// The line through the last four of these taps; `None` if they are uneven.
pub(super) fn fit_even_taps(taps: &[f64]) -> Option<TapLine> {
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
        .all(|point| off(point) <= TOLERANCE * period);
    even.then_some(TapLine { last, period })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_even_taps_give_their_least_squares_line() {
        // By linear_regression of Python's statistics: slope .496, intercept 1.006.
        let line = fit_even_taps(&[0.2, 1.0, 1.52, 1.98, 2.5]).unwrap();
        assert!(
            (line.period - 0.496).abs() < 1e-12 && (line.last - 2.494).abs() < 1e-12,
            "{line:?}"
        );
        for uneven in [
            &[1.0, 1.5, 2.0][..],
            &[1.0, 1.5, 2.3, 2.5],
            &[1.0, 1.1, 1.2, 1.3],
            &[0.0, 4.0, 8.0, 12.0],
            &[0.0, f64::NAN, 1.0, 1.5],
        ] {
            assert_eq!(fit_even_taps(uneven), None, "{uneven:?}");
        }
    }
}
