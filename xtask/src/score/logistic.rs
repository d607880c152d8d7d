//! Logistic regression with a ridge, by Newton's method.
//!
//! The weights minimise Σ ln(1 + e^−yz) + ridge/2 · Σ w², with z = bias + Σ w·x and y = ±1; the
//! bias is free. With ridge 1 that is `LogisticRegression` of scikit-learn at C = 1.

/// A row that is fitted to: its features, and whether it is of the class.
pub type Example<'a> = (&'a [f64], bool);

/// Newton's method doubles the right digits with each step: 10 steps are usual.
const STEPS: usize = 50;
/// The fit is done when no weight moves more than this.
const STILL: f64 = 1e-10;

/// The bias, then a weight for each feature. `None` where there is no such fit or it is not
/// reached: no rows, one class alone, or rows without a middle.
pub fn fit(rows: &[Example<'_>], ridge: f64) -> Option<Vec<f64>> {
    let size = rows.first()?.0.len() + 1;
    let mut weights = vec![0.0; size];
    for _ in 0..STEPS {
        let (slope, bend) = slope_and_bend(rows, &weights, ridge);
        let step = solve(bend, slope)?;
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

/// The chance of a logit.
pub fn sigmoid(logit: f64) -> f64 {
    1.0 / (1.0 + (-logit.clamp(-40.0, 40.0)).exp())
}

/// First and second derivatives of what is minimised; the second as rows of its lower half.
fn slope_and_bend(rows: &[Example<'_>], weights: &[f64], ridge: f64) -> (Vec<f64>, Vec<Vec<f64>>) {
    let penalty = |at: usize| if at == 0 { 0.0 } else { ridge };
    let mut slope: Vec<f64> = weights.iter().enumerate().map(|(at, w)| penalty(at) * w).collect();
    let mut bend: Vec<Vec<f64>> = (0..weights.len())
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
            slope[at] += error * x;
            for (sum, other) in bend[at].iter_mut().zip(&row) {
                *sum += spread * x * other;
            }
        }
    }
    (slope, bend)
}

/// Solves for a symmetric, positive definite matrix given by its lower half, by Cholesky's
/// method; `None` where it is not positive definite.
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
