//! Writes fitted weights in the format of `core/src/segmentation/weights.txt`.

use super::model::{Model, ModelPair};
use overbar_core::segmentation::Hindsight;
use overbar_core::segmentation::features::NAMES;
use overbar_core::segmentation::weights::Weights;
use std::path::Path;

/// Writes the models of every grade. The header comments of an existing file are kept: they say what the
/// weights were fitted to.
///
/// # Errors
/// A line that names the file.
pub fn write(path: &Path, grades: &[(Hindsight, ModelPair)]) -> Result<(), String> {
    let before = std::fs::read_to_string(path).unwrap_or_default();
    let mut text: String = before
        .lines()
        .take_while(|line| line.starts_with('#'))
        .map(|line| format!("{line}\n"))
        .collect();
    for (hindsight, pair) in grades {
        for (set, model, gate) in [("", &pair.normal, false), ("gate-", &pair.gate, true)] {
            text += &rows(&format!("{set}{}", hindsight.name()), model, *hindsight, gate);
        }
    }
    std::fs::write(path, text).map_err(|error| format!("{}: {error}", path.display()))
}

fn rows(set: &str, model: &Model, hindsight: Hindsight, gate: bool) -> String {
    let shipped = Weights::of(hindsight, gate);
    let features = shipped.features().map(|(feature, _)| {
        NAMES.iter().find(|(_, known)| *known == feature).map_or("", |(name, _)| *name)
    });
    let weights = ["bias"].into_iter().chain(features).zip(&model.weights);
    let weights: String = weights.map(|(name, w)| format!("{set} {name} {w:.6}\n")).collect();
    format!("{set} threshold {}\n{weights}", model.threshold)
}
