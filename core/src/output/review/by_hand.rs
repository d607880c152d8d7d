//! Corrections of a file, by bar and beat as a review writes them, stored beside the file.

use crate::analysis::take_analysis::TakeAnalysis;
use crate::quantization::MetricalPosition;
use crate::session::Session;
use core::fmt;
use core::str::FromStr;
use serde::{Deserialize, Serialize};

/// A correction applies to the nearest onset within this distance of its beat, in pulses. Origin: half the
/// shortest step that a review distinguishes.
const NEAR: f64 = 0.125;

/// A position in the song as a person writes it: `12.3` is beat 3 of bar 12, `12.3.5` its "and".
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BarBeat {
    /// Bar, from 1.
    pub bar: i64,
    /// Felt beat, from 1 with decimals.
    pub beat: f64,
}

/// A correction of the onset at a position.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ByHand {
    /// Its position.
    #[serde(flatten)]
    pub place: BarBeat,
    /// Whether a phrase starts there.
    pub begins: bool,
}

/// A file of corrections.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CorrectionFile {
    /// Increased only if a field changes its meaning.
    format: u32,
    /// The corrections, in order.
    corrections: Vec<ByHand>,
}

const FORMAT: u32 = 1;

impl CorrectionFile {
    /// A file of these corrections; of two at one position the later counts.
    #[must_use]
    pub fn of(corrections: &[ByHand]) -> Self {
        let mut kept: Vec<ByHand> = Vec::new();
        for by_hand in corrections {
            kept.retain(|known| known.place != by_hand.place);
            kept.push(*by_hand);
        }
        let place = |correction: &ByHand| (correction.place.bar, correction.place.beat);
        kept.sort_by(|a, b| {
            let ((bar, beat), (other, than)) = (place(a), place(b));
            bar.cmp(&other).then(beat.total_cmp(&than))
        });
        Self { format: FORMAT, corrections: kept }
    }

    /// Its corrections.
    ///
    /// # Errors
    /// Why it is invalid.
    pub fn corrections(self) -> Result<Vec<ByHand>, String> {
        if self.format != FORMAT {
            return Err(format!("format {}: only {FORMAT} is known", self.format));
        }
        match self.corrections.iter().find(|correction| !correction.place.is_sound()) {
            Some(wrong) => Err(format!("beat {}: not a beat from 1", wrong.place.beat)),
            None => Ok(self.corrections),
        }
    }
}

impl BarBeat {
    fn is_sound(&self) -> bool {
        self.beat.is_finite() && self.beat >= 1.0
    }

    fn away(&self, place: &MetricalPosition) -> Option<f64> {
        (place.bar == self.bar).then(|| (place.beat_in_bar() - self.beat).abs())
    }
}

impl FromStr for BarBeat {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let read = text.split_once('.').and_then(|(bar, beat)| {
            let place = Self { bar: bar.parse().ok()?, beat: beat.parse().ok()? };
            place.is_sound().then_some(place)
        });
        read.ok_or_else(|| format!("{text}: not BAR.BEAT, as 12.3 or 12.3.5"))
    }
}

impl fmt::Display for BarBeat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "bar {}, beat {}", self.bar, self.beat)
    }
}

/// There is no onset at the position of a correction.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{place}: no note of the line{}", nearest_text(*nearest))]
pub struct Unplaced {
    /// The position of the correction.
    pub place: BarBeat,
    /// The nearest onset in that bar, by its beat.
    pub nearest: Option<f64>,
}

fn nearest_text(nearest: Option<f64>) -> String {
    match nearest {
        Some(beat) => format!("; the nearest in that bar is at beat {beat:.3}"),
        None => " in that bar".to_owned(),
    }
}

/// Corrects the last take of `session`, which is over.
///
/// # Errors
/// The first position without an onset; nothing is corrected then.
pub(super) fn correct(session: &mut Session, by_hand: &[ByHand]) -> Result<(), Unplaced> {
    let Some(take) = session.takes().last().filter(|_| !by_hand.is_empty()) else {
        return Ok(());
    };
    let analysis = TakeAnalysis::of(take.performance.clone(), *session.settings());
    let score = analysis.context();
    let places: Vec<(usize, MetricalPosition)> =
        (0..score.line.len()).filter_map(|onset| Some((onset, score.position(onset)?))).collect();
    let mut found = Vec::new();
    for correction in by_hand {
        let apart = |(onset, place): &(usize, MetricalPosition)| {
            Some((*onset, correction.place.away(place)?, place.beat_in_bar()))
        };
        let nearest = places.iter().filter_map(apart).min_by(|a, b| a.1.total_cmp(&b.1));
        let second = nearest.filter(|(_, away, _)| *away <= NEAR).and_then(|(onset, ..)| {
            let first = score.line.get(onset)?.first;
            Some(score.notes.get(first)?.on.second)
        });
        let Some(second) = second else {
            let nearest = nearest.map(|(.., beat)| beat);
            return Err(Unplaced { place: correction.place, nearest });
        };
        found.push((second, correction.begins));
    }
    let number = u32::try_from(session.takes().len()).unwrap_or(u32::MAX);
    for (second, begins) in found {
        session.correct(number, second, Some(begins));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_are_parsed_as_written() {
        let read = |text: &str| text.parse::<BarBeat>();
        assert_eq!(read("12.3"), Ok(BarBeat { bar: 12, beat: 3.0 }));
        assert_eq!(read("12.3.5"), Ok(BarBeat { bar: 12, beat: 3.5 }));
        assert_eq!(read("-1.2"), Ok(BarBeat { bar: -1, beat: 2.0 }));
        for wrong in ["", "12", "12.", ".3", "12.0.9", "12.x", "12.inf", "12.NaN"] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn the_later_correction_counts() {
        let correction = |bar, beat, begins| ByHand { place: BarBeat { bar, beat }, begins };
        let file = CorrectionFile::of(&[
            correction(4, 1.0, true),
            correction(2, 3.5, true),
            correction(4, 1.0, false),
        ]);
        assert_eq!(
            file.clone().corrections().unwrap(),
            [correction(2, 3.5, true), correction(4, 1.0, false)]
        );
        assert!(CorrectionFile { format: 2, ..file.clone() }.corrections().is_err());
        let corrections = vec![correction(2, 0.5, true)];
        assert!(CorrectionFile { corrections, ..file }.corrections().is_err(), "before beat 1");
    }
}
