//! Learns from corrections how finely a player's phrases are split.
//!
//! People differ most in how short a rest may separate phrases. One number, `finer`, is added to the
//! log odds of every onset; without corrections it is 0.
//!
//! A player who corrects one boundary has seen all before it, and confirms those left alone. So every
//! onset up to the last correction is a lesson, and `finer` is the likeliest value given them all, with
//! a normal prior around 0.

/// Spread of players around the model: standard deviation of `finer` before any lesson, in
/// logits. Origin: tried from 0.3 to 1.5 on the labelled solos, where 0.6 and 0.7 do best, and 0.5 to
/// 0.8 equally well within the noise. Learning a player's own weight for the rest, the interval or the
/// notes as well was tried there too, and gained nothing.
pub const PLAYER_SPREAD: f64 = 0.6;

/// `finer` never goes further, in logits: five spreads.
pub const FINEST: f64 = 3.0;

/// Steps after which the search ends. Halving alone reaches 1e-12 in 43.
const STEPS: usize = 50;

/// One onset that the player has seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lesson {
    /// Log odds that a phrase starts there, by the untaught model.
    pub logit: f64,
    /// Whether one does, according to the player.
    pub begins: bool,
}

/// The likeliest `finer` after `lessons`, in logits, by bounded Newton steps. Onsets whose odds are not
/// finite teach nothing.
pub fn finer(lessons: &[Lesson], spread: f64) -> f64 {
    let (mut low, mut high) = (-FINEST, FINEST);
    let mut finer = 0.0;
    for _ in 0..STEPS {
        let (slope, curvature) = slope_and_curvature(lessons, spread, finer);
        // The log posterior has one maximum, uphill from here.
        if slope > 0.0 {
            low = finer;
        } else {
            high = finer;
        }
        let newton = finer + slope / curvature;
        let next = if newton >= low && newton <= high { newton } else { f64::midpoint(low, high) };
        if (next - finer).abs() < 1e-12 {
            return next;
        }
        finer = next;
    }
    finer
}

/// First derivative of the log posterior, and the negated second.
fn slope_and_curvature(lessons: &[Lesson], spread: f64, finer: f64) -> (f64, f64) {
    let precision = 1.0 / (spread * spread);
    let start = (-finer * precision, precision);
    lessons.iter().filter(|l| l.logit.is_finite()).fold(start, |(slope, curvature), lesson| {
        let probability = 1.0 / (1.0 + (-lesson.logit - finer).exp());
        let started = if lesson.begins { 1.0 } else { 0.0 };
        (slope + started - probability, curvature + probability * (1.0 - probability))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn log_posterior(lessons: &[Lesson], spread: f64, finer: f64) -> f64 {
        let of = |l: &Lesson| {
            let z = if l.begins { l.logit + finer } else { -l.logit - finer };
            -(-z).exp().ln_1p()
        };
        lessons.iter().map(of).sum::<f64>() - finer * finer / (2.0 * spread * spread)
    }

    #[test]
    fn no_lessons_teach_nothing() {
        assert_eq!(finer(&[], PLAYER_SPREAD), 0.0);
        let ruled_out = Lesson { logit: f64::NEG_INFINITY, begins: true };
        assert_eq!(finer(&[ruled_out], PLAYER_SPREAD), 0.0);
    }

    #[test]
    fn one_lesson_worked_by_hand() {
        // Odds of 1, spread 1, and a phrase did start: the slope is 0 where b = 1/(1 + e^b).
        let taught = finer(&[Lesson { logit: 0.0, begins: true }], 1.0);
        assert!((taught - 1.0 / (1.0 + taught.exp())).abs() < 1e-12);
        assert!((taught - 0.401_058_138).abs() < 1e-9);
        let other = finer(&[Lesson { logit: 0.0, begins: false }], 1.0);
        assert!((taught + other).abs() < 1e-12);
    }

    #[test]
    fn a_flood_of_lessons_stays_in_bounds() {
        for begins in [false, true] {
            let lessons = vec![Lesson { logit: if begins { -40.0 } else { 40.0 }, begins }; 5_000];
            let taught = finer(&lessons, PLAYER_SPREAD);
            assert!(taught.abs() <= FINEST && (taught > 0.0) == begins, "{taught}");
        }
    }

    proptest! {
        /// No point of a fine grid is likelier than the result.
        #[test]
        fn the_maximum_matches_a_grid_search(
            corrections in prop::collection::vec((-8.0..8.0_f64, any::<bool>()), 0..60),
            spread in 0.2..1.5_f64,
        ) {
            let lessons: Vec<Lesson> =
                corrections.into_iter().map(|(logit, begins)| Lesson { logit, begins }).collect();
            let taught = finer(&lessons, spread);
            let best = (-3_000..=3_000)
                .map(|step| f64::from(step) / 1_000.0)
                .max_by(|a, b| {
                    log_posterior(&lessons, spread, *a)
                        .total_cmp(&log_posterior(&lessons, spread, *b))
                })
                .unwrap();
            prop_assert!((taught - best).abs() <= 0.001, "{taught} and {best}");
        }
    }
}
