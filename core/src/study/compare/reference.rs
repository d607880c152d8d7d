//! A take beside a set of solos of the user's own choosing.

use super::Measure;
use crate::figures::{FEW_PHRASES, Figures};
use crate::stats::Quartiles;
use core::fmt;

/// One solo of a set.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferenceSolo {
    /// What it is called.
    pub name: String,
    /// Its figures.
    pub figures: Figures,
}

/// A set of solos.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reference {
    /// The solos that have phrases enough to be held against.
    solos: Vec<ReferenceSolo>,
    /// How many have too few.
    left_out: usize,
}

impl Reference {
    /// The set of `solos`; those of fewer than [`FEW_PHRASES`] phrases are counted and left out.
    #[must_use]
    pub fn of(solos: Vec<ReferenceSolo>) -> Self {
        let all = solos.len();
        let solos: Vec<_> =
            solos.into_iter().filter(|s| s.figures.phrases >= FEW_PHRASES).collect();
        Self { left_out: all - solos.len(), solos }
    }

    /// The solos that are held against.
    #[must_use]
    pub fn solos(&self) -> &[ReferenceSolo] {
        &self.solos
    }

    /// How many were left out for having too few phrases.
    #[must_use]
    pub fn left_out(&self) -> usize {
        self.left_out
    }
}

/// Where a figure of a take lies among those of the set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AgainstReference {
    /// Of what.
    pub of: Measure,
    /// The take's: a share from 0 to 1, or the median length in bars.
    pub own: f64,
    /// How many solos of the set have less.
    pub less: usize,
    /// How many solos the set has.
    pub solos: usize,
    /// The set's.
    pub quartiles: Quartiles,
}

/// A take's entries and lengths among those of the set; empty without a set or without phrases.
#[must_use]
pub fn against_reference(figures: &Figures, reference: &Reference) -> Vec<AgainstReference> {
    [Measure::OffBeatEntries, Measure::BeatOneEntries, Measure::Bars]
        .into_iter()
        .filter_map(|of| {
            let own = figure(of, figures)?;
            let theirs: Vec<f64> =
                reference.solos.iter().filter_map(|s| figure(of, &s.figures)).collect();
            let less = theirs.iter().filter(|x| **x < own).count();
            let solos = theirs.len();
            Some(AgainstReference {
                of,
                own,
                less,
                solos,
                quartiles: Quartiles::of(&theirs.into_iter().collect())?,
            })
        })
        .collect()
}

fn figure(of: Measure, figures: &Figures) -> Option<f64> {
    match of.share(figures) {
        Some(share) => share.share(),
        None => Some(figures.lengths?.bars.median),
    }
}

impl fmt::Display for AgainstReference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Quartiles { lower, upper, .. } = self.quartiles;
        let (less, solos) = (self.less, self.solos);
        let (what, scale, decimals, unit) = match self.of {
            Measure::Bars => ("median length", 1.0, 1, "bars"),
            Measure::BeatOneEntries => ("enter on beat one", 100.0, 0, "%"),
            _ => ("enter off the beat", 100.0, 0, "%"),
        };
        write!(
            f,
            "{what}: {:.decimals$} {unit}, more than {less} of your {solos} files (middle half \
             {:.decimals$} to {:.decimals$} {unit})",
            self.own * scale,
            lower * scale,
            upper * scale
        )
    }
}
