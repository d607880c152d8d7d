//! Logistic regression with a ridge, by Newton's method.
//!
//! The weights minimise Σ ln(1 + e^−yz) + ridge/2 · Σ w², with z = bias + Σ w·x and y = ±1; the
//! bias is free. With ridge 1 that is `LogisticRegression` of scikit-learn at C = 1.

/// A training example: its features, and whether it is in the class.
pub type Example<'a> = (&'a [f64], bool);

/// Newton's method doubles the number of correct digits with each step: 10 steps are typical.
const STEPS: usize = 50;
/// The fit has converged when no weight moves by more than this.
const STILL: f64 = 1e-10;

/// The bias, then a weight for each feature. `None` if there is no such fit or it does not converge: no rows,
/// a single class, or separable rows.
pub fn fit(rows: &[Example<'_>], ridge: f64) -> Option<Vec<f64>> {
    let size = rows.first()?.0.len() + 1;
    let mut weights = vec![0.0; size];
    for _ in 0..STEPS {
        let (gradient, hessian) = gradient_and_hessian(rows, &weights, ridge);
        let step = solve(hessian, gradient)?;
        for (weight, step) in weights.iter_mut().zip(&step) {
            *weight -= step;
        }
        if !weights.iter().all(|weight| weight.is_finite()) {
            return None;
        }
        if step.iter().all(|step| step.abs() < STILL) {
            return Some(weights);
        }
    }
    None
}

/// The probability of a logit.
pub fn sigmoid(logit: f64) -> f64 {
    1.0 / (1.0 + (-logit.clamp(-40.0, 40.0)).exp())
}

/// Gradient and Hessian of the objective; the Hessian as rows of its lower triangle.
fn gradient_and_hessian(
    rows: &[Example<'_>],
    weights: &[f64],
    ridge: f64,
) -> (Vec<f64>, Vec<Vec<f64>>) {
    let penalty = |at: usize| if at == 0 { 0.0 } else { ridge };
    let mut gradient: Vec<f64> =
        weights.iter().enumerate().map(|(at, w)| penalty(at) * w).collect();
    let mut hessian: Vec<Vec<f64>> = (0..weights.len())
        .map(|at| (0..=at).map(|other| if other == at { penalty(at) } else { 0.0 }).collect())
        .collect();
    let mut row = vec![1.0; weights.len()];
    for (features, of_class) in rows {
        row[1..].copy_from_slice(features);
        let logit: f64 = row.iter().zip(weights).map(|(x, w)| x * w).sum();
        let chance = sigmoid(logit);
        let error = chance - f64::from(u8::from(*of_class));
        let spread = chance * (1.0 - chance);
        for (at, x) in row.iter().enumerate() {
            gradient[at] += error * x;
            for (sum, other) in hessian[at].iter_mut().zip(&row) {
                *sum += spread * x * other;
            }
        }
    }
    (gradient, hessian)
}

/// Solves a symmetric, positive definite system, given the lower triangle, by Cholesky decomposition; `None`
/// if it is not positive definite.
fn solve(mut lower: Vec<Vec<f64>>, mut right: Vec<f64>) -> Option<Vec<f64>> {
    let size = right.len();
    for row in 0..size {
        for column in 0..=row {
            let known: f64 = (0..column).map(|k| lower[row][k] * lower[column][k]).sum();
            let left = lower[row][column] - known;
            lower[row][column] = if row > column {
                left / lower[column][column]
            } else if left > 0.0 {
                left.sqrt()
            } else {
                return None;
            };
        }
    }
    for row in 0..size {
        let known: f64 = (0..row).map(|k| lower[row][k] * right[k]).sum();
        right[row] = (right[row] - known) / lower[row][row];
    }
    for row in (0..size).rev() {
        let known: f64 = (row + 1..size).map(|k| lower[k][row] * right[k]).sum();
        right[row] = (right[row] - known) / lower[row][row];
    }
    Some(right)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gross horsepower, weight in 1000 lb, and manual transmission of 32 cars (Motor Trend 1974, by
    /// Henderson and Velleman 1981; `mtcars` of R).
    const CARS: [([f64; 2], bool); 32] = [
        ([110.0, 2.620], true),
        ([110.0, 2.875], true),
        ([93.0, 2.320], true),
        ([110.0, 3.215], false),
        ([175.0, 3.440], false),
        ([105.0, 3.460], false),
        ([245.0, 3.570], false),
        ([62.0, 3.190], false),
        ([95.0, 3.150], false),
        ([123.0, 3.440], false),
        ([123.0, 3.440], false),
        ([180.0, 4.070], false),
        ([180.0, 3.730], false),
        ([180.0, 3.780], false),
        ([205.0, 5.250], false),
        ([215.0, 5.424], false),
        ([230.0, 5.345], false),
        ([66.0, 2.200], true),
        ([52.0, 1.615], true),
        ([65.0, 1.835], true),
        ([97.0, 2.465], false),
        ([150.0, 3.520], false),
        ([150.0, 3.435], false),
        ([245.0, 3.840], false),
        ([175.0, 3.845], false),
        ([66.0, 1.935], true),
        ([91.0, 2.140], true),
        ([113.0, 1.513], true),
        ([264.0, 3.170], true),
        ([175.0, 2.770], true),
        ([335.0, 3.570], true),
        ([109.0, 2.780], true),
    ];

    fn cars() -> Vec<Example<'static>> {
        CARS.iter().map(|(features, manual)| (features.as_slice(), *manual)).collect()
    }

    fn assert_close(got: &[f64], expected: &[f64], within: f64) {
        assert_eq!(got.len(), expected.len());
        for (got, expected) in got.iter().zip(expected) {
            assert!((got - expected).abs() < within, "{got} and {expected}");
        }
    }

    /// `glm(am ~ hp + wt, binomial)` of R: 18.86630, 0.03626, −8.08348, as printed in its
    /// textbooks; and scikit-learn 1.9.1 without a penalty, computed once.
    #[test]
    fn without_a_ridge_it_matches_the_textbook_fit() {
        let weights = fit(&cars(), 0.0).unwrap();
        assert_close(&weights, &[18.866_30, 0.036_26, -8.083_48], 1e-5);
        assert_close(&weights, &[18.866_299, 0.036_256, -8.083_475], 1e-6);
    }

    /// `LogisticRegression(C=1)` and `(C=0.1)` of scikit-learn 1.9.1 by newton-cholesky and lbfgs
    /// at a tolerance of 1e-12, computed once; the second with the weight alone.
    #[test]
    fn with_a_ridge_it_matches_scikit_learn() {
        let weights = fit(&cars(), 1.0).unwrap();
        assert_close(&weights, &[5.677_348_61, 0.009_683_91, -2.418_672_85], 1e-7);
        let heavy: Vec<Example<'_>> = CARS.iter().map(|(x, manual)| (&x[1..], *manual)).collect();
        assert_close(&fit(&heavy, 10.0).unwrap(), &[1.634_547_65, -0.638_020_01], 1e-7);
    }

    #[test]
    fn what_cannot_be_fitted() {
        assert_eq!(fit(&[], 1.0), None);
        let one_class: Vec<Example<'_>> =
            cars().into_iter().filter(|(_, manual)| *manual).collect();
        assert_eq!(fit(&one_class, 1.0), None, "its bias is endless");
        let parted = [(&[-1.0][..], false), (&[1.0][..], true)];
        assert_eq!(fit(&parted, 0.0), None, "its weight is endless");
        assert!(fit(&parted, 1.0).is_some());
    }
}
