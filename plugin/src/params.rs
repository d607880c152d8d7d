//! The parameters a host sees. Their ids are part of every saved project: they never change.

use crate::state::Saved;
use nice_plug::prelude::*;
use overbar_core::settings::{AlertSettings, Hearing, Settings};
use std::sync::Arc;

/// All parameters, and the part of the saved state that is none.
#[derive(Params)]
pub struct OverbarParams {
    /// Takes and the panel's look; see [`crate::state`].
    #[persist = "overbar"]
    pub saved: Saved,
    /// Phrases in a row on beat one until the alert; 0 is never.
    #[id = "one_streak"]
    pub beat_one_streak: IntParam,
    /// Short phrases in a row until the alert; 0 is never.
    #[id = "short_streak"]
    pub short_streak: IntParam,
    /// Bars under which a phrase is short.
    #[id = "short_bars"]
    pub short_phrase_bars: FloatParam,
    /// Bars from which a phrase is a long line.
    #[id = "long_bars"]
    pub long_line_bars: FloatParam,
    /// Bars without a long line until the alert; 0 is never.
    #[id = "long_within"]
    pub long_line_within_bars: IntParam,
    /// MIDI channel from 1; 0 is all.
    #[id = "channel"]
    pub channel: IntParam,
    /// Lowest key of the soloist.
    #[id = "low_key"]
    pub lowest_key: IntParam,
    /// Highest key of the soloist.
    #[id = "high_key"]
    pub highest_key: IntParam,
    /// Which written beat of the host's bar is the tune's beat one.
    #[id = "one_offset"]
    pub beat_one_offset: IntParam,
    /// How finely the player's phrases are told apart; 0 is untaught.
    #[id = "finer"]
    pub finer: FloatParam,
    /// The panel shows three things large enough for the far end of a room. A parameter, so that
    /// a pedal can switch it.
    #[id = "across"]
    pub across_the_room: BoolParam,
}

impl OverbarParams {
    /// Parameters at their defaults, with `saved` as the rest of the state.
    #[must_use]
    pub fn new(saved: Saved) -> Self {
        let defaults = AlertSettings::default();
        let count = |n: u32| i32::try_from(n).unwrap_or(i32::MAX);
        let streak = |name: &str, default: u32| {
            IntParam::new(name, count(default), IntRange::Linear { min: 0, max: 16 })
                .with_value_to_string(off_or(" in a row"))
                .with_string_to_value(number())
        };
        let key = |name: &str, default: i32| {
            IntParam::new(name, default, IntRange::Linear { min: 0, max: 127 })
        };
        #[expect(clippy::cast_possible_truncation, reason = "small round numbers")]
        let bars = |name: &str, default: f64, max: f32| {
            let range = FloatRange::Linear { min: 0.25, max };
            FloatParam::new(name, default as f32, range).with_step_size(0.25).with_unit(" bars")
        };
        Self {
            saved,
            beat_one_streak: streak("Beat-one alert", defaults.beat_one_streak),
            short_streak: streak("Short-phrase alert", defaults.short_streak),
            short_phrase_bars: bars("Short phrase under", defaults.short_phrase_bars, 4.0),
            long_line_bars: bars("Long line from", defaults.long_line_bars, 16.0),
            long_line_within_bars: IntParam::new(
                "Long-line alert",
                12,
                IntRange::Linear { min: 0, max: 64 },
            )
            .with_value_to_string(off_or(" bars without"))
            .with_string_to_value(number()),
            channel: IntParam::new("MIDI channel", 0, IntRange::Linear { min: 0, max: 16 })
                .with_value_to_string(Arc::new(|channel| match channel {
                    0 => "all".to_owned(),
                    _ => channel.to_string(),
                }))
                .with_string_to_value(number()),
            lowest_key: key("Lowest key", 0),
            highest_key: key("Highest key", 127),
            beat_one_offset: IntParam::new(
                "Beat one is at",
                0,
                IntRange::Linear { min: -16, max: 16 },
            )
            .with_value_to_string(Arc::new(|offset| match offset {
                0 => "the host's".to_owned(),
                _ => format!("{offset:+} beats"),
            }))
            .with_string_to_value(number()),
            finer: FloatParam::new(
                "Phrases told apart",
                0.0,
                FloatRange::Linear { min: -MOST_FINER, max: MOST_FINER },
            )
            .with_step_size(0.05)
            .with_value_to_string(Arc::new(|finer| match finer {
                f if f.abs() < 0.025 => "as usual".to_owned(),
                f if f > 0.0 => format!("finer by {f:.2}"),
                f => format!("coarser by {:.2}", -f),
            }))
            .with_string_to_value(Arc::new(finer_from_text)),
            across_the_room: BoolParam::new("Across the room", false)
                .with_value_to_string(Arc::new(|on| if on { "on" } else { "off" }.to_owned()))
                .with_string_to_value(Arc::new(|text| match text.trim() {
                    "on" => Some(true),
                    "off" => Some(false),
                    _ => None,
                })),
        }
    }

    /// The analysis settings these values mean.
    #[must_use]
    pub fn settings(&self) -> Settings {
        let count = |param: &IntParam| u32::try_from(param.value()).unwrap_or(0);
        let key = |param: &IntParam| u8::try_from(param.value()).unwrap_or(0).min(127);
        Settings {
            hearing: Hearing {
                channel: u8::try_from(self.channel.value()).ok().and_then(|c| c.checked_sub(1)),
                lowest_key: key(&self.lowest_key),
                highest_key: key(&self.highest_key),
            },
            finer: f64::from(self.finer.value()),
            alerts: AlertSettings {
                beat_one_streak: count(&self.beat_one_streak),
                short_streak: count(&self.short_streak),
                short_phrase_bars: f64::from(self.short_phrase_bars.value()),
                long_line_bars: f64::from(self.long_line_bars.value()),
                long_line_within_bars: f64::from(self.long_line_within_bars.value()),
            },
            beat_one_offset: self.beat_one_offset.value(),
        }
    }
}

/// The farthest a player's own bias goes either way, in logits: three standard deviations of
/// players (see `core/src/ear/weights.txt`), rounded up.
pub const MOST_FINER: f32 = 2.0;

fn finer_from_text(text: &str) -> Option<f32> {
    let text = text.trim();
    if text == "as usual" {
        return Some(0.0);
    }
    let number = |text: &str| text.trim().trim_start_matches("by ").trim().parse::<f32>().ok();
    match (text.strip_prefix("finer"), text.strip_prefix("coarser")) {
        (Some(rest), _) => number(rest),
        (_, Some(rest)) => number(rest).map(|n| -n),
        _ => number(text),
    }
}

type ToText = Arc<dyn Fn(i32) -> String + Send + Sync>;
type FromText = Arc<dyn Fn(&str) -> Option<i32> + Send + Sync>;

fn off_or(unit: &'static str) -> ToText {
    Arc::new(move |value| if value == 0 { "off".to_owned() } else { format!("{value}{unit}") })
}

/// Reads the whole number a text begins with; the words that mean 0 are 0.
fn number() -> FromText {
    Arc::new(|text| {
        let text = text.trim();
        if ["off", "all", "the host's"].contains(&text) {
            return Some(0);
        }
        text.split_whitespace().next()?.parse().ok()
    })
}
