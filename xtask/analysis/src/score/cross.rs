//! Cross-validation: models fitted to all solos but the scored ones.

use super::examples::{ScoredOnset, SoloExamples};
use super::model::{Model, ModelPair};

/// Solos are dealt into this many folds in turn; each is scored by models fitted to the others.
const FOLDS: usize = 5;

/// Scores every solo by models fitted without its fold.
///
/// # Errors
/// If there are too few solos, or nothing can be fitted to the labels.
pub fn scored(examples: &[SoloExamples]) -> Result<Vec<Vec<ScoredOnset>>, String> {
    if examples.len() < FOLDS {
        return Err(format!("cross-validation needs {FOLDS} solos at least"));
    }
    let folds: Vec<ModelPair> = (0..FOLDS)
        .map(|fold| {
            fit(examples.iter().enumerate().filter(|(n, _)| n % FOLDS != fold).map(|s| s.1))
        })
        .collect::<Result<_, _>>()?;
    let solos = examples.iter().zip(folds.iter().cycle());
    Ok(solos.map(|(examples, models)| examples.scored(models)).collect())
}

/// Models fitted to these solos.
///
/// # Errors
/// If nothing can be fitted.
pub fn fit<'a>(
    examples: impl Iterator<Item = &'a SoloExamples> + Clone,
) -> Result<ModelPair, String> {
    let model = |gate| {
        let examples: Vec<_> = examples.clone().flat_map(|s| s.examples(gate)).collect();
        Model::fitted(&examples).ok_or(
            "nothing can be fitted to these labels: too few rests that part phrases, or too few \
             that do not",
        )
    };
    Ok(ModelPair { normal: model(false)?, gate: model(true)? })
}
