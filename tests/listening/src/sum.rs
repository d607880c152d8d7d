//! Sums of scores, with their lines in the report.

use crate::score::Tally;

/// Scores of one or more recordings.
#[derive(Default, Clone)]
pub struct Sum {
    /// Onsets, and notes with the same key.
    pub onsets: Tally,
    pub notes: Tally,
    /// Notes before the soloist comes in.
    pub before: usize,
    /// Matched notes of more than 80 ms, and how many of them have a wrong key.
    pub long: usize,
    pub gross: usize,
    /// Phrase starts against the labels: from the played notes, and from the transcription.
    pub starts_played: Tally,
    pub starts_heard: Tally,
    /// Phrases that start in both, and how many have the same class.
    pub phrases: usize,
    pub same_class: usize,
    /// The error of each onset, and the delay until its note was reported, in seconds.
    pub late: Vec<f64>,
    pub known: Vec<f64>,
}

impl Sum {
    /// Adds another.
    pub fn add(&mut self, other: &Self) {
        self.onsets = self.onsets.plus(other.onsets);
        self.notes = self.notes.plus(other.notes);
        self.before += other.before;
        self.long += other.long;
        self.gross += other.gross;
        self.starts_played = self.starts_played.plus(other.starts_played);
        self.starts_heard = self.starts_heard.plus(other.starts_heard);
        self.phrases += other.phrases;
        self.same_class += other.same_class;
        self.late.extend(&other.late);
        self.known.extend(&other.known);
    }

    /// The share of long notes with a wrong key.
    pub fn gross(&self) -> f64 {
        share(self.gross, self.long)
    }

    /// The share of phrases whose start has the same class.
    pub fn classes(&self) -> f64 {
        share(self.same_class, self.phrases)
    }

    /// The loss in F1 of phrase starts against the played notes.
    pub fn loss(&self) -> f64 {
        self.starts_played.f1() - self.starts_heard.f1()
    }

    /// The delay within which a share `part` of the notes is reported, in seconds.
    pub fn known_after(&self, part: f64) -> f64 {
        let mut known = self.known.clone();
        known.sort_by(f64::total_cmp);
        known.get((known.len() as f64 * part) as usize).copied().unwrap_or(0.0)
    }

    /// A line: F1 of onsets with precision and recall, F1 of notes; share of long notes with a wrong key; F1
    /// of phrase starts transcribed and played, agreement of classes; spread and bias of onsets, and delay
    /// until half and 95 % of notes are reported, in ms; notes before the soloist comes in.
    pub fn line(&self, name: &str) -> String {
        let count = self.late.len().max(1) as f64;
        let mean = self.late.iter().sum::<f64>() / count;
        let spread = self.late.iter().map(|late| (late - mean).powi(2)).sum::<f64>() / count;
        format!(
            "{name:28} onsets {:.3} ({:.3} {:.3}) notes {:.3} gross {:.3} starts {:.3} of {:.3} \
             classes {:.3} spread {:.1} bias {:+.1} known {:.0} {:.0} before {}",
            self.onsets.f1(),
            share(self.onsets.found, self.onsets.heard),
            share(self.onsets.found, self.onsets.played),
            self.notes.f1(),
            self.gross(),
            self.starts_heard.f1(),
            self.starts_played.f1(),
            self.classes(),
            spread.sqrt() * 1e3,
            mean * 1e3,
            self.known_after(0.5) * 1e3,
            self.known_after(0.95) * 1e3,
            self.before
        )
    }
}

fn share(part: usize, of: usize) -> f64 {
    part as f64 / of.max(1) as f64
}
