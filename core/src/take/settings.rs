//! The settings of the analysis.

use crate::time::SecondSpan;
use core::ops::RangeInclusive;
use serde::{Deserialize, Serialize};

/// The range of [`Settings::latency`], in milliseconds. Below 0 for players who tap ahead of a click by
/// more than their rig is late. Origin: common practice, no source; beyond it nobody can play in time.
pub const LATENCY_MS: RangeInclusive<f64> = -100.0..=300.0;

/// All settings of the analysis.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Which notes are the soloist's.
    pub hearing: Hearing,
    /// Which of those form the melody line.
    pub melody: Melody,
    /// The player's own bias in logits, added to the segmentation model at every onset. 0 without
    /// corrections; more than 0 splits phrases more finely.
    pub finer: f64,
    /// Thresholds of the alerts.
    pub alerts: AlertSettings,
    /// Offset of the tune's beat one from the host's, in written beats of the current metre.
    pub beat_one_offset: i32,
    /// Straight or swung eighths.
    pub feel: Feel,
    /// The felt pulse.
    pub pulse: Pulse,
    /// Which passes become takes.
    pub passes: Passes,
    /// How a long take is split into solos.
    pub solos: Solos,
    /// The input latency of the player's rig.
    pub latency: SecondSpan,
}

/// Which passes become takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Passes {
    /// Only what is played while the host reports that it is recording; punching in and out starts and
    /// ends a take.
    pub recorded_only: bool,
    /// The host's playback of a known take becomes a take of its own, marked as such, instead of being
    /// dropped.
    pub keep_playback: bool,
    /// Notes are heard in sound: played back, they are not heard quite as they were.
    pub from_sound: bool,
}

/// How a long take is split into solos.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Solos {
    /// A rest of this many bars separates solos; with 0 only markers do.
    pub dividing_rest_bars: u8,
}

impl Default for Solos {
    /// Origin: common practice, no source; a shorter rest is a breath within a solo.
    fn default() -> Self {
        Self { dividing_rest_bars: 8 }
    }
}

/// Which of the soloist's notes form the melody line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Melody {
    /// All intended notes, until two registers sound together: then those of the upper one.
    #[default]
    Auto,
    /// Those of the upper register, from the first note on.
    Top,
    /// Every note. Notes struck at the same moment are one onset.
    All,
}

/// Straight or swung eighths.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Feel {
    /// As played.
    #[default]
    Auto,
    /// Even.
    Straight,
    /// Long and short.
    Swing,
}

/// The felt pulse against that of the host's metre.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Pulse {
    /// The same.
    #[default]
    Host,
    /// Half as fast, if a bar has an even number of pulses.
    Half,
    /// Twice as fast; in compound metres, the written beat.
    Double,
}

/// Which notes are the soloist's. Others are stored but not analysed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Hearing {
    /// Channel from 0 to 15; `None` for all.
    pub channel: Option<u8>,
    /// Lowest key.
    pub lowest_key: u8,
    /// Highest key.
    pub highest_key: u8,
}

impl Default for Hearing {
    fn default() -> Self {
        Self { channel: None, lowest_key: 0, highest_key: 127 }
    }
}

impl Hearing {
    /// Whether a note of this key and channel is the soloist's.
    pub fn takes(&self, key: u8, channel: u8) -> bool {
        self.channel.is_none_or(|c| c == channel)
            && (self.lowest_key..=self.highest_key).contains(&key)
    }
}

/// Thresholds of the alerts. Origin of the defaults: teaching practice, no published source.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct AlertSettings {
    /// Phrases in a row that start on beat one; 0 for no alert.
    pub beat_one_streak: u32,
    /// Short phrases in a row; 0 for no alert.
    pub short_streak: u32,
    /// Bars under which a phrase is short.
    pub short_phrase_bars: f64,
    /// Bars from which a phrase is a long line.
    pub long_line_bars: f64,
    /// Bars without a long line; 0 for no alert.
    pub long_line_within_bars: f64,
}

impl Default for AlertSettings {
    fn default() -> Self {
        Self {
            beat_one_streak: 3,
            short_streak: 4,
            short_phrase_bars: 1.0,
            long_line_bars: 2.0,
            long_line_within_bars: 12.0,
        }
    }
}
