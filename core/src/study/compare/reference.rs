//! A take against the user's own reference solos.

use super::comparison::ComparedMeasure;
use crate::phrase::figures::{FEW_PHRASES, Figures};
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
        (ComparedMeasure::OffBeatEntries, "off-beat starts", 100.0, 0, "%", ["lower", "higher"]),
        (ComparedMeasure::BeatOneEntries, "starts on beat one", 100.0, 0, "%", ["lower", "higher"]),
        (ComparedMeasure::Bars, "typical length", 1.0, 1, "bars", ["shorter", "longer"]),
    ];
    let line = |(of, what, scale, decimals, unit, words)| {
        let own = figure(of, figures)?;
        let theirs: Vec<f64> = reference.solos.iter().filter_map(|s| figure(of, s)).collect();
        let rank = rank(own, &theirs, words);
        let Quartiles { lower, upper, .. } = Quartiles::of(&theirs.into_iter().collect())?;
        let [own, lower, upper] = [own, lower, upper].map(|value| value * scale);
        Some(format!(
            "{what}: {own:.decimals$} {unit}, {rank} \
             (middle 50 %: {lower:.decimals$}\u{2013}{upper:.decimals$} {unit})"
        ))
    };
    measures.into_iter().filter_map(line).collect()
}

/// Where `own` ranks among the figures of the set, in words.
fn rank(own: f64, theirs: &[f64], [less, more]: [&str; 2]) -> String {
    let solos = theirs.len();
    let below = theirs.iter().filter(|value| **value < own).count();
    let above = theirs.iter().filter(|value| **value > own).count();
    let all = match solos {
        1 => "your reference solo".to_owned(),
        2 => "both of your reference solos".to_owned(),
        _ => format!("all {solos} of your reference solos"),
    };
    if below == solos {
        format!("{more} than {all}")
    } else if above == solos {
        format!("{less} than {all}")
    } else if below > 0 {
        format!("{more} than {below} of your {solos} reference solos")
    } else if solos == 1 {
        format!("the same as {all}")
    } else {
        format!("no {more} than any of your {solos} reference solos")
    }
}

fn figure(of: ComparedMeasure, figures: &Figures) -> Option<f64> {
    match of.share(figures) {
        Some(share) => share.share(),
        None => Some(figures.lengths?.bars.median),
    }
}
