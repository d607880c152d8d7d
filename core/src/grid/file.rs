//! Anchors as a file that people and other programs write: moments with their bar and beat.
//!
//! ```json
//! { "format": 1, "metre": "4/4", "anchors": [
//!   { "second": 2.04, "bar": 1, "beat": 1 },
//!   { "second": 17.51, "bar": 9, "beat": 1 } ] }
//! ```
//!
//! How many beats lie between two anchors follows from their bars. Where a bar was cut short or held,
//! `beats` tells how many there were since the anchor before.

use super::PulseNumber;
use super::anchors::{Anchor, AnchorError, AnchorSource, Anchors, BarLine};
use crate::time::Second;
use crate::time::metre::Metre;
use serde::{Deserialize, Serialize};

/// Rises only if a field changes its meaning.
const FORMAT: u32 = 1;

/// Bars and beats beyond this are no music.
const MOST: i64 = 1 << 30;

/// A file of anchors.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnchorFile {
    format: u32,
    metre: String,
    anchors: Vec<FileAnchor>,
}

/// An anchor as it is written.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FileAnchor {
    second: f64,
    bar: i64,
    beat: i64,
    /// Beats since the anchor before, where the bars do not tell.
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
    /// A time signature that is none.
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
    /// A bar far from any.
    #[error("anchor {0}: no such bar")]
    Bar(usize),
    /// They are no grid.
    #[error(transparent)]
    Anchors(#[from] AnchorError),
}

impl AnchorFile {
    /// As they are written.
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
            // After a bar that was cut short or held, bars alone do not tell how many beats there were.
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
    /// Why they cannot be used.
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
        for (number, told) in (1..).zip(&self.anchors) {
            let FileAnchor { second, bar, beat, beats, by, in_doubt } = *told;
            if !(1..=in_bar).contains(&beat) {
                return Err(AnchorFileError::Beat { number, beat, metre, beats: in_bar });
            }
            if bar.abs() > MOST || beats.is_some_and(|beats| beats.abs() > MOST) {
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
