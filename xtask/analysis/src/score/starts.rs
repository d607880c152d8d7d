//! Phrase starts found against those labelled.

use super::parts::Absorb;
use serde::Serialize;

/// Starts found, starts labelled, and both.
#[derive(Debug, Default, Clone, Copy, PartialEq, Serialize)]
#[serde(into = "Figures")]
pub struct Starts {
    pub found: usize,
    pub labelled: usize,
    pub right: usize,
}

/// Precision, recall and F1.
#[derive(Debug, Default, Clone, Copy, PartialEq, Serialize)]
pub struct Rates {
    pub precision: f64,
    pub recall: f64,
    pub f1: f64,
}

#[derive(Serialize)]
struct Figures {
    found: usize,
    labelled: usize,
    right: usize,
    #[serde(flatten)]
    rates: Rates,
}

impl Starts {
    /// Counts an onset.
    pub fn count(&mut self, found: bool, labelled: bool) {
        self.found += usize::from(found);
        self.labelled += usize::from(labelled);
        self.right += usize::from(found && labelled);
    }

    /// Precision, recall and F1; 1 if there was nothing to find and nothing was found.
    pub fn rates(self) -> Rates {
        let rate = |of: usize| if of == 0 { 1.0 } else { self.right as f64 / of as f64 };
        let (precision, recall) = (rate(self.found), rate(self.labelled));
        let sum = precision + recall;
        Rates {
            precision,
            recall,
            f1: if sum > 0.0 { 2.0 * precision * recall / sum } else { 0.0 },
        }
    }

    /// Wrong decisions, of either kind.
    pub fn errors(self) -> usize {
        self.found + self.labelled - 2 * self.right
    }
}

impl Absorb for Starts {
    fn absorb(&mut self, other: &Self) {
        self.found += other.found;
        self.labelled += other.labelled;
        self.right += other.right;
    }
}

impl Rates {
    /// The mean of several.
    pub fn mean(all: &[Self]) -> Self {
        let count = all.len().max(1) as f64;
        let mean = |of: fn(&Self) -> f64| all.iter().map(of).sum::<f64>() / count;
        Self { precision: mean(|r| r.precision), recall: mean(|r| r.recall), f1: mean(|r| r.f1) }
    }
}

impl From<Starts> for Figures {
    fn from(starts: Starts) -> Self {
        let Starts { found, labelled, right } = starts;
        Self { found, labelled, right, rates: starts.rates() }
    }
}
