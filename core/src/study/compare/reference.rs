//! A take against the user's own reference solos.

use super::comparison::ComparedMeasure;
use crate::figures::{FEW_PHRASES, Figures};
use crate::stats::Quartiles;

/// A set of solos.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reference {
    /// The figures of those with enough phrases to compare with.
    solos: Vec<Figures>,
    left_out: usize,
}

impl Reference {
    /// The set of `solos`, without those of fewer than [`FEW_PHRASES`] phrases, which are counted.
    pub fn of(mut solos: Vec<Figures>) -> Self {
        let all = solos.len();
        solos.retain(|solo| solo.phrases >= FEW_PHRASES);
        Self { left_out: all - solos.len(), solos }
    }

    /// How many solos there are to compare with.
    pub fn solos(&self) -> usize {
        self.solos.len()
    }

    /// How many have too few phrases.
    pub fn left_out(&self) -> usize {
        self.left_out
    }
}

/// How a take's starts and lengths rank among those of the set, one sentence per figure; empty without a
/// set or without phrases.
pub fn against_reference(figures: &Figures, reference: &Reference) -> Vec<String> {
    let measures = [
        (ComparedMeasure::OffBeatEntries, "off-beat starts", 100.0, 0, "%", "higher"),
        (ComparedMeasure::BeatOneEntries, "starts on beat one", 100.0, 0, "%", "higher"),
        (ComparedMeasure::Bars, "typical length", 1.0, 1, "bars", "longer"),
    ];
    let line = |(of, what, scale, decimals, unit, more)| {
        let own = figure(of, figures)?;
        let theirs: Vec<f64> = reference.solos.iter().filter_map(|s| figure(of, s)).collect();
        let (less, solos) = (theirs.iter().filter(|x| **x < own).count(), theirs.len());
        let many = if solos == 1 { "" } else { "s" };
        let Quartiles { lower, upper, .. } = Quartiles::of(&theirs.into_iter().collect())?;
        let [own, lower, upper] = [own, lower, upper].map(|value| value * scale);
        Some(format!(
            "{what}: {own:.decimals$} {unit}, {more} than {less} of your {solos} reference solo{many} \
             (middle 50 %: {lower:.decimals$}\u{2013}{upper:.decimals$} {unit})"
        ))
    };
    measures.into_iter().filter_map(line).collect()
}

fn figure(of: ComparedMeasure, figures: &Figures) -> Option<f64> {
    match of.share(figures) {
        Some(share) => share.share(),
        None => Some(figures.lengths?.bars.median),
    }
}
