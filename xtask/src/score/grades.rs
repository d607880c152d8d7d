//! The three grades of hindsight of the boundary models, beside the plain rule.

use super::Starts;
use super::calibration::Calibration;
use overbar_core::ear::{Hindsight, openings};
use overbar_core::note::Note;

/// Bands of mean tempo, in beats a minute: each from its figure up to before the next.
const BANDS: [(f64, &str); 6] = [
    (0.0, "< 100"),
    (100.0, "100-140"),
    (140.0, "140-180"),
    (180.0, "180-220"),
    (220.0, "220-270"),
    (270.0, "> 270"),
];

/// Scores of every grade.
#[derive(Default)]
pub struct Grades {
    grades: [Grade; 3],
}

#[derive(Default)]
struct Grade {
    pooled: Starts,
    bands: [Starts; 6],
    calibration: Calibration,
}

impl Grades {
    /// Adds a solo.
    pub fn add(&mut self, notes: &[Note], labelled: &[usize], tempo: Option<f64>) {
        let band = tempo.map(|t| BANDS.iter().rposition(|(from, _)| t >= *from).unwrap_or(0));
        for (grade, hindsight) in self.grades.iter_mut().zip(Hindsight::ALL) {
            let labels = labelled.iter().filter(|n| **n > 0).count();
            let mut starts = Starts { labelled: labels, ..Starts::default() };
            for opening in openings(notes, hindsight, 0.0).iter().filter(|o| o.note > 0) {
                let right = labelled.contains(&opening.note);
                grade.calibration.add(opening.judgement.probability, right);
                starts.found += usize::from(opening.judgement.begins);
                starts.right += usize::from(opening.judgement.begins && right);
            }
            grade.pooled.add(starts);
            if let Some(band) = band.and_then(|b| grade.bands.get_mut(b)) {
                band.add(starts);
            }
        }
    }

    /// A few lines a grade.
    pub fn report(&self) -> String {
        let mut text = String::new();
        for (grade, hindsight) in self.grades.iter().zip(Hindsight::ALL) {
            let [p, r, f] = grade.pooled.rates();
            text += &format!(
                "\nmodel, {:8} precision {p:.4}  recall {r:.4}  F1 {f:.4}  calibration error {:.4}, \
                 of rests {:.4}\n  by tempo:",
                format!("{}:", hindsight.name()),
                grade.calibration.error(),
                grade.calibration.error_of_rests(),
            );
            for (starts, (_, name)) in grade.bands.iter().zip(BANDS) {
                if starts.labelled > 0 {
                    text += &format!("  {name} {:.3}", starts.rates()[2]);
                }
            }
        }
        text
    }
}
