//! The features of every onset of a take, for fitting and scoring models.

use super::hindsight::Hindsight;
use super::intervals::RestBy;
use super::weights::Weights;
use super::{features, gate, whole};
use crate::input::note::Note;
use crate::melody::MelodyOnsets;
use crate::take::settings::Melody;

/// The features of one onset.
#[derive(Debug, Clone, PartialEq)]
pub struct FeatureRow {
    /// Index of the onset's first note.
    pub note: usize,
    /// The rest before it, in seconds.
    pub rest: f64,
    /// Note ends mean nothing here.
    pub gate: bool,
    /// The features, in the order of [`Weights::features`].
    pub features: Vec<f64>,
}

/// The rows of every onset of the melody of `notes` but the first, which starts a phrase by
/// definition. `by` chooses the model: [`RestBy::Onsets`] for notes whose ends mean nothing.
pub fn rows(notes: &[Note], hindsight: Hindsight, by: RestBy) -> Vec<FeatureRow> {
    let line = MelodyOnsets::of(notes, Melody::Auto);
    let weights = Weights::of(hindsight, by == RestBy::Onsets);
    let mut rows = Vec::with_capacity(line.len());
    whole::for_each_onset(&line, notes, 0.0, |segmenter, onset| {
        let Some((interval, onset)) = onset.checked_sub(1).zip(line.get(onset)) else { return };
        let intervals = if by == RestBy::Onsets { &segmenter.gated } else { &segmenter.played };
        let seen = |(feature, _)| features::value(feature, intervals, interval);
        rows.push(FeatureRow {
            note: onset.first,
            rest: intervals.rest(interval),
            gate: gate::is_fixed(&segmenter.played, interval),
            features: weights.features().map(seen).collect(),
        });
    });
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::segmentation::{bounded, judge_onsets};
    use crate::time::{Beat, Moment, Second};

    /// Rows times weights give the model's judgement, in and out of gate mode.
    #[test]
    fn rows_match_the_judgements() {
        let moment = |second| Moment { beat: Beat(0.0), second: Second(second) };
        let note = |n: u8| {
            // Lengths differ at first; later all have the same short gate.
            let at = f64::from(n) * 0.21 + f64::from(n / 9) * 0.7;
            let length = if n < 30 { 0.05 + f64::from(n % 4) * 0.04 } else { 0.04 };
            let (on, off) = (moment(at), Some(moment(at + length)));
            Note { on, off, key: 50 + n % 13, channel: 0, velocity: 0.5 }
        };
        let notes: Vec<Note> = (0..80).map(note).collect();
        for hindsight in Hindsight::ALL {
            let sets = [RestBy::NoteEnds, RestBy::Onsets].map(|by| rows(&notes, hindsight, by));
            let found = judge_onsets(&notes, hindsight, 0.0, Melody::Auto);
            let mut gated = 0;
            for (i, judged) in found.iter().skip(1).enumerate() {
                let gate = sets[0][i].gate;
                gated += usize::from(gate);
                let row = &sets[usize::from(gate)][i];
                let weights = Weights::of(hindsight, gate);
                let weighed = weights.features().zip(&row.features).map(|((_, w), x)| w * x);
                let logit = bounded(weights.bias() + weighed.sum::<f64>(), row.rest);
                let probability = logit.map_or(0.0, |z| 1.0 / (1.0 + (-z).exp()));
                assert_eq!(row.note, judged.onset.first);
                assert!(
                    (probability - judged.judgement.probability).abs() < 1e-12,
                    "{hindsight:?} {i}"
                );
            }
            assert!(gated > 20 && gated < 60, "both modes occur: {gated}");
        }
        assert_eq!(rows(&[], Hindsight::Live, RestBy::NoteEnds), []);
    }
}
