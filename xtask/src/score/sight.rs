//! What the models of one grade see of a solo, and how they judge it.

use super::logistic::sigmoid;
use super::model::Pair;
use super::solo::Solo;
use overbar_core::segmentation::Hindsight;
use overbar_core::segmentation::RestBy;
use overbar_core::segmentation::rows::{FeatureRow, rows};

/// One solo as seen in one grade: an entry for each onset but the first.
pub struct Sight {
    /// By note ends.
    normal: Vec<FeatureRow>,
    /// By onsets alone.
    gate: Vec<FeatureRow>,
    /// By note ends as played, where those were changed.
    as_played: Option<Vec<FeatureRow>>,
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
    pub fn examples(&self, gate: bool) -> impl Iterator<Item = (&FeatureRow, bool)> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_core::input::note::Note;
    use overbar_core::microtiming::Feel;
    use overbar_core::segmentation::judge_onsets;
    use overbar_core::settings::Melody;
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
            feel: Feel::default(),
            notes: notes(),
            as_played: notes(),
        }
    }

    #[test]
    fn the_shipped_models_judge_as_the_plugin_hears() {
        let solo = solo();
        for hindsight in Hindsight::ALL {
            let judged = Sight::of(&solo, hindsight).judged(&Pair::shipped(hindsight));
            for finer in [0.0, 0.7] {
                let heard = judge_onsets(&solo.notes, hindsight, finer, Melody::Auto);
                assert_eq!(heard.len(), judged.len() + 1);
                for (opening, judged) in heard.iter().skip(1).zip(&judged) {
                    let apart = (opening.judgement.probability - judged.probability(finer)).abs();
                    assert!(apart < 1e-12, "{hindsight:?} {opening:?} {judged:?}");
                    assert_eq!(opening.judgement.begins, judged.found(finer));
                }
            }
        }
    }

    #[test]
    fn a_chord_begins_a_phrase_if_any_note_of_it_does() {
        let judged = Sight::of(&solo(), Hindsight::Live).judged(&Pair::shipped(Hindsight::Live));
        let begins: Vec<usize> = (0..judged.len()).filter(|i| judged[*i].begins).collect();
        // Notes 10 and 11 are onset 10, note 28 is onset 27; the first onset is not judged.
        assert_eq!(begins, [9, 26]);
    }

    #[test]
    fn models_are_fitted_to_notes_as_played() {
        let mut solo = solo();
        let played = Sight::of(&solo, Hindsight::Live);
        for note in &mut solo.notes {
            note.off = None;
        }
        let changed = Sight::of(&solo, Hindsight::Live);
        let seen = |sight: &Sight, gate| -> Vec<(f64, Vec<f64>, bool)> {
            let examples = sight.examples(gate);
            examples.map(|(row, begins)| (row.rest, row.features.clone(), begins)).collect()
        };
        for gate in [false, true] {
            assert_eq!(seen(&changed, gate), seen(&played, gate));
        }
        assert!(played.examples(false).any(|(row, _)| row.rest > 0.5));
    }
}
