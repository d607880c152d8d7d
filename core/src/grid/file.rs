//! A file of anchors, written by people or other programs: moments with their bar and beat.
//!
//! ```json
//! { "format": 1, "metre": "4/4", "anchors": [
//!   { "second": 2.04, "bar": 1, "beat": 1 },
//!   { "second": 17.51, "bar": 9, "beat": 1 } ] }
//! ```
//!
//! The bars of two anchors determine the number of beats between them. After a bar that was cut short or
//! held, `beats` gives the number since the previous anchor.

use super::PulseNumber;
use super::anchors::{Anchor, AnchorError, AnchorSource, Anchors, BarLine};
use crate::time::Second;
use crate::time::metre::Metre;
use serde::{Deserialize, Serialize};

/// Increases only if the meaning of a field changes.
const FORMAT: u32 = 1;

/// The largest bar number and count of beats.
const MAX_NUMBER: i64 = 1 << 30;

/// A file of anchors.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnchorFile {
    format: u32,
    metre: String,
    anchors: Vec<FileAnchor>,
}

/// An anchor in the file.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FileAnchor {
    second: f64,
    bar: i64,
    beat: i64,
    /// Beats since the previous anchor, if the bars do not determine them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    beats: Option<i64>,
    #[serde(default = "by_hand")]
    by: AnchorSource,
    #[serde(default, skip_serializing_if = "core::ops::Not::not")]
    in_doubt: bool,
}

fn by_hand() -> AnchorSource {
    AnchorSource::Hand
}

/// Why a file of anchors cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AnchorFileError {
    /// A newer Overbar wrote it.
    #[error("format {0}: only {FORMAT} is known")]
    Format(u32),
    /// An invalid time signature.
    #[error("\"metre\": {0}: not a time signature like 4/4 or 6/8")]
    Metre(String),
    /// A beat that the metre does not have.
    #[error("anchor {number}: beat {beat}, but a bar of {metre} has beats 1 to {beats}")]
    Beat {
        /// Which anchor, from 1.
        number: usize,
        /// Its beat.
        beat: i64,
        /// The metre.
        metre: Metre,
        /// Felt beats in a bar.
        beats: i64,
    },
    /// A bar number out of range.
    #[error("anchor {0}: no such bar")]
    Bar(usize),
    /// The anchors do not make a grid.
    #[error(transparent)]
    Anchors(#[from] AnchorError),
}

impl AnchorFile {
    /// The file of these anchors.
    #[must_use]
    pub fn of(anchors: &Anchors) -> Self {
        let in_bar = i64::from(anchors.metre().pulses().max(1));
        let mut before: Option<&Anchor> = None;
        let mut written = Vec::with_capacity(anchors.all().len());
        for anchor in anchors.all() {
            let line = anchors.line_at(anchor.pulse);
            let since = anchor.pulse - line.pulse;
            let bar = line.bar.saturating_add(since.div_euclid(in_bar));
            let beat = since.rem_euclid(in_bar) + 1;
            // After a bar that was cut short or held, the bars do not determine the number of beats.
            let is_cut = |before: &&Anchor| {
                let line = anchors.line_at(before.pulse);
                line.pulse + ((bar - line.bar) * in_bar + beat - 1) != anchor.pulse
            };
            written.push(FileAnchor {
                second: anchor.at.0,
                bar,
                beat,
                beats: before.filter(is_cut).map(|before| anchor.pulse - before.pulse),
                by: anchor.source,
                in_doubt: anchor.in_doubt,
            });
            before = Some(anchor);
        }
        Self { format: FORMAT, metre: anchors.metre().to_string(), anchors: written }
    }

    /// The anchors.
    ///
    /// # Errors
    /// Why the file cannot be used.
    pub fn anchors(&self) -> Result<Anchors, AnchorFileError> {
        if self.format != FORMAT {
            return Err(AnchorFileError::Format(self.format));
        }
        let metre: Metre =
            self.metre.parse().map_err(|_| AnchorFileError::Metre(self.metre.clone()))?;
        let in_bar = i64::from(metre.pulses().max(1));
        let mut line = BarLine { pulse: PulseNumber(0), bar: 1 };
        let mut lines = vec![line];
        let mut each: Vec<Anchor> = Vec::with_capacity(self.anchors.len());
        for (number, anchor) in (1..).zip(&self.anchors) {
            let FileAnchor { second, bar, beat, beats, by, in_doubt } = *anchor;
            if !(1..=in_bar).contains(&beat) {
                return Err(AnchorFileError::Beat { number, beat, metre, beats: in_bar });
            }
            if bar.abs() > MAX_NUMBER || beats.is_some_and(|beats| beats.abs() > MAX_NUMBER) {
                return Err(AnchorFileError::Bar(number));
            }
            let by_bars = line.pulse + ((bar - line.bar) * in_bar + beat - 1);
            let counted = each.last().zip(beats).map(|(before, beats)| before.pulse + beats);
            let pulse = counted.unwrap_or(by_bars);
            if pulse != by_bars {
                line = BarLine { pulse: pulse + (1 - beat), bar };
                lines.push(line);
            }
            each.push(Anchor { at: Second(second), pulse, source: by, in_doubt });
        }
        Ok(Anchors::new(metre, lines, each)?)
    }
}
