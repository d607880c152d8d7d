//! One solo as input to the boundary models of one grade, and as scored by them.

use super::logistic::sigmoid;
use super::model::ModelPair;
use super::solo::Solo;
use overbar_core::segmentation::Hindsight;
use overbar_core::segmentation::RestBy;
use overbar_core::segmentation::rows::{FeatureRow, rows};

/// Feature rows and labels of a solo in one grade, for each onset but the first.
pub struct SoloExamples {
    /// With rests by note ends.
    normal: Vec<FeatureRow>,
    /// With rests by onsets only.
    gate: Vec<FeatureRow>,
    /// With rests by the original note ends, if they were changed.
    as_played: Option<Vec<FeatureRow>>,
    /// Whether a phrase begins there, according to the labels.
    begins: Vec<bool>,
}

/// An onset as scored by a model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScoredOnset {
    /// Logarithm of the odds; `None` where a phrase was ruled out.
    pub logit: Option<f64>,
    /// A phrase begins at or above this probability.
    pub threshold: f64,
    /// Whether a phrase begins, according to the labels.
    pub begins: bool,
}

impl SoloExamples {
    /// The features and labels of `solo`.
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

    /// The scores of `models`: at each onset by the model of the mode in force.
    pub fn scored(&self, models: &ModelPair) -> Vec<ScoredOnset> {
        let each = self.normal.iter().zip(&self.gate).zip(&self.begins);
        each.map(|((normal, gate), begins)| {
            let (row, model) =
                if normal.gate { (gate, &models.gate) } else { (normal, &models.normal) };
            ScoredOnset { logit: model.logit(row), threshold: model.threshold, begins: *begins }
        })
        .collect()
    }

    /// Training examples: the solo as played, and by its onsets only.
    pub fn examples(&self, gate: bool) -> impl Iterator<Item = (&FeatureRow, bool)> {
        let played = self.as_played.as_ref().unwrap_or(&self.normal);
        (if gate { &self.gate } else { played }).iter().zip(self.begins.iter().copied())
    }
}

impl ScoredOnset {
    /// The probability that a phrase begins, with the player's bias `finer`.
    pub fn probability(&self, finer: f64) -> f64 {
        self.logit.map_or(0.0, |logit| sigmoid(logit + finer))
    }

    /// Whether a phrase start is decided there.
    pub fn found(&self, finer: f64) -> bool {
        self.probability(finer) >= self.threshold
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_core::input::note::Note;
    use overbar_core::microtiming::TimeFeel;
    use overbar_core::segmentation::judge_onsets;
    use overbar_core::take::settings::Melody;
    use overbar_core::time::{Beat, Moment, Second};
    use serde_json::json;

    /// Phrases of nine notes, from the thirtieth on of one short gate; the tenth is a chord.
    fn notes() -> Vec<Note> {
        let moment = |second| Moment { beat: Beat(second * 2.0), second: Second(second) };
        let note = |n: u8| {
            let step = if n > 10 { n - 1 } else { n };
            let at = f64::from(step) * 0.21 + f64::from(step / 9) * 0.7;
            let length = if n < 30 { 0.05 + f64::from(n % 4) * 0.04 } else { 0.04 };
            let (on, off) = (moment(at), Some(moment(at + length)));
            Note { on, off, key: 50 + n % 13, channel: 0, velocity: 0.5 }
        };
        (0..80).map(note).collect()
    }

    fn solo() -> Solo {
        let label = json!({
            "id": "invented", "file": "", "feel": "SWING", "metre": "4/4",
            "phrase_first_notes": [0, 11, 28],
            "notes": {"beat": [], "division": [], "tatum": []},
        });
        let label = serde_json::from_value(label).unwrap();
        Solo {
            label,
            phrases: Vec::new(),
            at_onset: Vec::new(),
            settled: Vec::new(),
            feel: TimeFeel::default(),
            notes: notes(),
            as_played: notes(),
        }
    }

    #[test]
    fn the_shipped_models_score_as_in_the_plugin() {
        let solo = solo();
        for hindsight in Hindsight::ALL {
            let scored = SoloExamples::of(&solo, hindsight).scored(&ModelPair::shipped(hindsight));
            for finer in [0.0, 0.7] {
                let heard = judge_onsets(&solo.notes, hindsight, finer, Melody::Auto);
                assert_eq!(heard.len(), scored.len() + 1);
                for (opening, scored) in heard.iter().skip(1).zip(&scored) {
                    let apart = (opening.judgement.probability - scored.probability(finer)).abs();
                    assert!(apart < 1e-12, "{hindsight:?} {opening:?} {scored:?}");
                    assert_eq!(opening.judgement.begins, scored.found(finer));
                }
            }
        }
    }

    #[test]
    fn a_chord_begins_a_phrase_if_any_note_of_it_does() {
        let scored =
            SoloExamples::of(&solo(), Hindsight::Live).scored(&ModelPair::shipped(Hindsight::Live));
        let begins: Vec<usize> = (0..scored.len()).filter(|i| scored[*i].begins).collect();
        // Notes 10 and 11 are onset 10, note 28 is onset 27; the first onset is not scored.
        assert_eq!(begins, [9, 26]);
    }

    #[test]
    fn models_are_fitted_to_notes_as_played() {
        let mut solo = solo();
        let played = SoloExamples::of(&solo, Hindsight::Live);
        for note in &mut solo.notes {
            note.off = None;
        }
        let changed = SoloExamples::of(&solo, Hindsight::Live);
        let seen = |examples: &SoloExamples, gate| -> Vec<(f64, Vec<f64>, bool)> {
            let examples = examples.examples(gate);
            examples.map(|(row, begins)| (row.rest, row.features.clone(), begins)).collect()
        };
        for gate in [false, true] {
            assert_eq!(seen(&changed, gate), seen(&played, gate));
        }
        assert!(played.examples(false).any(|(row, _)| row.rest > 0.5));
    }
}
