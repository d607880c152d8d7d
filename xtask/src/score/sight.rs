//! What the models of one grade see of a solo, and how they judge it.

use super::logistic::sigmoid;
use super::model::Pair;
use super::solo::Solo;
use overbar_core::ear::Hindsight;
use overbar_core::ear::intervals::RestBy;
use overbar_core::ear::rows::{Row, rows};

/// One solo as seen in one grade: an entry for each onset but the first.
pub struct Sight {
    /// By note ends.
    normal: Vec<Row>,
    /// By onsets alone.
    gate: Vec<Row>,
    /// By note ends as played, where those were changed.
    as_played: Option<Vec<Row>>,
    /// Whether a phrase begins there, by the labels.
    begins: Vec<bool>,
}

/// An onset as judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// Logarithm of the odds; `None` where a phrase was ruled out.
    pub logit: Option<f64>,
    /// The probability from which on one is taken to begin.
    pub threshold: f64,
    /// Whether one does, by the labels.
    pub begins: bool,
}

impl Sight {
    /// What is seen of `solo`.
    pub fn of(solo: &Solo, hindsight: Hindsight) -> Self {
        let normal = rows(&solo.notes, hindsight, RestBy::NoteEnds);
        let ends = normal.iter().skip(1).map(|row| row.note).chain([solo.notes.len()]);
        let begins =
            normal.iter().zip(ends).map(|(row, end)| solo.label.begins_at(row.note..end)).collect();
        let changed = solo.notes != solo.as_played;
        Self {
            begins,
            gate: rows(&solo.notes, hindsight, RestBy::Onsets),
            as_played: changed.then(|| rows(&solo.as_played, hindsight, RestBy::NoteEnds)),
            normal,
        }
    }

    /// How `models` judge it: at each onset by the model of the mode in force.
    pub fn judged(&self, models: &Pair) -> Vec<Judged> {
        let each = self.normal.iter().zip(&self.gate).zip(&self.begins);
        each.map(|((normal, gate), begins)| {
            let (row, model) =
                if normal.gate { (gate, &models.gate) } else { (normal, &models.normal) };
            Judged { logit: model.logit(row), threshold: model.threshold, begins: *begins }
        })
        .collect()
    }

    /// What models are fitted to: the solo as played, and by its onsets alone.
    pub fn examples(&self, gate: bool) -> impl Iterator<Item = (&Row, bool)> {
        let played = self.as_played.as_ref().unwrap_or(&self.normal);
        (if gate { &self.gate } else { played }).iter().zip(self.begins.iter().copied())
    }
}

impl Judged {
    /// The probability that a phrase begins, where phrases are told apart more finely by so much.
    pub fn probability(&self, finer: f64) -> f64 {
        self.logit.map_or(0.0, |logit| sigmoid(logit + finer))
    }

    /// Whether one is taken to begin.
    pub fn found(&self, finer: f64) -> bool {
        self.probability(finer) >= self.threshold
    }
}
