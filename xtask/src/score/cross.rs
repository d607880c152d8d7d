//! Models fitted to the labelled solos themselves: to all of them, and to all but those that are
//! scored.

use super::model::{Model, Pair};
use super::sight::{Judged, Sight};

/// Parts that the solos are dealt into in turn; each is judged by models fitted to the others.
const FOLDS: usize = 5;

/// Every solo judged by models that were fitted without it and without its fold.
///
/// # Errors
/// Where there are too few solos, or labels that nothing can be fitted to.
pub fn judged(sights: &[Sight]) -> Result<Vec<Vec<Judged>>, String> {
    if sights.len() < FOLDS {
        return Err(format!("cross-validation needs {FOLDS} solos at least"));
    }
    let folds: Vec<Pair> = (0..FOLDS)
        .map(|fold| fit(sights.iter().enumerate().filter(|(n, _)| n % FOLDS != fold).map(|s| s.1)))
        .collect::<Result<_, _>>()?;
    let solos = sights.iter().zip(folds.iter().cycle());
    Ok(solos.map(|(sight, models)| sight.judged(models)).collect())
}

/// Models fitted to these solos.
///
/// # Errors
/// Where nothing can be fitted.
pub fn fit<'a>(sights: impl Iterator<Item = &'a Sight> + Clone) -> Result<Pair, String> {
    let model = |gate| {
        let examples: Vec<_> = sights.clone().flat_map(|s| s.examples(gate)).collect();
        Model::fitted(&examples).ok_or(
            "nothing can be fitted to these labels: too few rests that part phrases, or too few \
             that do not",
        )
    };
    Ok(Pair { normal: model(false)?, gate: model(true)? })
}
