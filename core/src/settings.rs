//! Every threshold of the analysis, with its unit and origin.

use crate::time::SecondSpan;
use serde::{Deserialize, Serialize};

/// All settings of the analysis.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Which notes are the soloist's.
    pub hearing: Hearing,
    /// Which of those are the line's.
    pub melody: Melody,
    /// How finely phrases are told apart: the player's own bias in logits, added to what the
    /// ear hears at every onset. 0 is untaught; more than 0 tells more phrases apart.
    pub finer: f64,
    /// When to speak up.
    pub alerts: AlertSettings,
    /// Which written beat of the host's bar is the tune's beat one: 0 is the host's own, 1 the
    /// written beat after it, −1 the one before. Counted in written beats of the metre in force.
    pub beat_one_offset: i32,
    /// How eighths are felt.
    pub feel: Feel,
    /// The pulse that is felt.
    pub pulse: Pulse,
    /// Which passes are takes.
    pub passes: Passes,
    /// Where a long take is divided into solos.
    pub solos: Solos,
    /// How much later than they were played notes sound and come in, by the player's rig.
    pub latency: SecondSpan,
}

/// Which passes are takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Passes {
    /// Only what is played while the host says that it records; punching in and out begins and
    /// ends a take. For hosts that say so.
    pub recorded_only: bool,
    /// A pass in which the host plays back a take that is known is a take of its own, and marked
    /// as such. It is left out otherwise.
    pub keep_playback: bool,
}

/// Where a long take is divided into solos.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Solos {
    /// Bars of rest from which on what comes after is another solo; 0 divides at marks only.
    pub dividing_rest_bars: u8,
}

impl Default for Solos {
    /// Origin: common practice, no source; fewer bars are a breath within a solo.
    fn default() -> Self {
        Self { dividing_rest_bars: 8 }
    }
}

/// Which of the soloist's notes are the line's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Melody {
    /// All that were meant, until notes are heard together in two registers: then the upper one's.
    #[default]
    Auto,
    /// The upper register's, from the first note on.
    Top,
    /// Every note, as it came. Those struck at the same moment are one onset.
    All,
}

/// How eighths are felt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Feel {
    /// As they are heard.
    #[default]
    Auto,
    /// Even.
    Straight,
    /// Long and short.
    Swing,
}

/// The pulse that is felt, against the one the host's metre tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Pulse {
    /// The same.
    #[default]
    Host,
    /// Half as fast, where a bar has an even number of pulses.
    Half,
    /// Twice as fast; in compound metres, the written beat.
    Double,
}

/// Which notes are the soloist's. Others are kept, but not analysed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Hearing {
    /// Channel from 0 to 15; `None` is all of them.
    pub channel: Option<u8>,
    /// Lowest key, from 0.
    pub lowest_key: u8,
    /// Highest key, to 127.
    pub highest_key: u8,
}

impl Default for Hearing {
    fn default() -> Self {
        Self { channel: None, lowest_key: 0, highest_key: 127 }
    }
}

impl Hearing {
    /// Whether a note of this key and channel is the soloist's.
    #[must_use]
    pub fn takes(&self, key: u8, channel: u8) -> bool {
        self.channel.is_none_or(|c| c == channel)
            && (self.lowest_key..=self.highest_key).contains(&key)
    }
}

/// When to speak up. Origin of the defaults: teaching practice, no published source.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct AlertSettings {
    /// Phrases in a row that begin on beat one; 0 is never.
    pub beat_one_streak: u32,
    /// Short phrases in a row; 0 is never.
    pub short_streak: u32,
    /// Bars under which a phrase is short.
    pub short_phrase_bars: f64,
    /// Bars from which a phrase is a long line.
    pub long_line_bars: f64,
    /// Bars without a long line; 0 is never.
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
