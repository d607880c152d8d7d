//! The parameters a host sees. Their ids are part of every saved project: they never change.

use crate::practice::catalogue;
use crate::state::Saved;
use nice_plug::prelude::*;
use overbar_core::drill::Spot;
use overbar_core::melody::Melody;
use overbar_core::metronome::{Clicks, Places};
use overbar_core::settings::{AlertSettings, Feel, Hearing, Passes, Pulse, Settings};
use overbar_core::slot::Slot;
use overbar_core::time::SecondSpan;
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
    /// Whether the metronome clicks.
    #[id = "click"]
    pub click: BoolParam,
    /// Where it clicks; see [`places`].
    #[id = "click_places"]
    pub click_places: IntParam,
    /// Bars after a start with a click on every beat.
    #[id = "click_count_in"]
    pub click_count_in: IntParam,
    /// How loud it is, from 0 to 1; see [`overbar_core::metronome::LEVEL_CAUTION`].
    #[id = "click_level"]
    pub click_level: FloatParam,
    /// Whether only what the host records are takes.
    #[id = "record_only"]
    pub recorded_only: BoolParam,
    /// Whether what the host plays back of a known take is kept as a take of its own.
    #[id = "playback"]
    pub keep_playback: BoolParam,
    /// Which of the soloist's notes are the line's; see [`Melody`].
    #[id = "melody"]
    pub melody: IntParam,
    /// The pulse that is felt; see [`Pulse`].
    #[id = "felt_pulse"]
    pub pulse: IntParam,
    /// How eighths are felt; see [`Feel`].
    #[id = "feel"]
    pub feel: IntParam,
    /// The rig's delay in milliseconds.
    #[id = "rig_delay"]
    pub latency: FloatParam,
    /// The panel shows three things large enough for the far end of a room. A parameter, so that
    /// a pedal can switch it.
    #[id = "across"]
    pub across_the_room: BoolParam,
    /// Begins a drill: 0 ends it, then come those of [`crate::practice::catalogue`], and any other
    /// value is the one that is chosen in the panel.
    #[id = "drill"]
    pub drill: IntParam,
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
            click: BoolParam::new("Click", false),
            click_places: IntParam::new(
                "Click on",
                0,
                IntRange::Linear { min: 0, max: LAST_PLACE },
            )
            .with_value_to_string(Arc::new(named))
            .with_string_to_value(Arc::new(|text| {
                (0..=LAST_PLACE).find(|value| named(*value) == text.trim())
            })),
            click_count_in: IntParam::new("Click count-in", 0, IntRange::Linear { min: 0, max: 4 })
                .with_value_to_string(off_or(" bars"))
                .with_string_to_value(number()),
            // A quarter, from which one goes up.
            click_level: FloatParam::new(
                "Click level",
                0.25,
                FloatRange::Linear { min: 0.0, max: 1.0 },
            ),
            melody: choice("Melody", &MELODIES),
            pulse: choice("Felt pulse", &PULSES),
            feel: choice("Eighths", &FEELS),
            latency: FloatParam::new(
                "Rig delay",
                0.0,
                FloatRange::Linear { min: -EARLIEST_MS, max: LATEST_MS },
            )
            .with_step_size(1.0)
            .with_unit(" ms"),
            recorded_only: on_or_off("Only recorded takes"),
            keep_playback: on_or_off("Keep what is played back"),
            across_the_room: on_or_off("Across the room"),
            drill: IntParam::new("Drill", 0, IntRange::Linear { min: 0, max: LAST_DRILL })
                .with_value_to_string(Arc::new(drill_named))
                .with_string_to_value(Arc::new(|text| {
                    (0..=LAST_DRILL).find(|value| drill_named(*value) == text.trim())
                })),
        }
    }

    /// What the metronome is to do; `None` while it is off.
    #[must_use]
    pub fn clicks(&self) -> Option<Clicks> {
        self.click.value().then(|| Clicks {
            places: places(self.click_places.value()),
            count_in: u8::try_from(self.click_count_in.value()).unwrap_or(0),
            level: self.click_level.value(),
            beat_one_offset: self.beat_one_offset.value(),
        })
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
            melody: chosen(&self.melody, &MELODIES),
            finer: f64::from(self.finer.value()),
            alerts: AlertSettings {
                beat_one_streak: count(&self.beat_one_streak),
                short_streak: count(&self.short_streak),
                short_phrase_bars: f64::from(self.short_phrase_bars.value()),
                long_line_bars: f64::from(self.long_line_bars.value()),
                long_line_within_bars: f64::from(self.long_line_within_bars.value()),
            },
            beat_one_offset: self.beat_one_offset.value(),
            passes: Passes {
                recorded_only: self.recorded_only.value(),
                keep_playback: self.keep_playback.value(),
            },
            feel: chosen(&self.feel, &FEELS),
            pulse: chosen(&self.pulse, &PULSES),
            latency: SecondSpan(f64::from(self.latency.value()) / 1e3),
        }
    }
}

/// What may be chosen, in the order of its values, which never changes; the first is the default.
const MELODIES: [(&str, Melody); 3] =
    [("followed", Melody::Auto), ("upper voice", Melody::Top), ("every note", Melody::All)];
const PULSES: [(&str, Pulse); 3] =
    [("the host's", Pulse::Host), ("half as fast", Pulse::Half), ("twice as fast", Pulse::Double)];
const FEELS: [(&str, Feel); 3] =
    [("as heard", Feel::Auto), ("straight", Feel::Straight), ("swing", Feel::Swing)];

/// A rig's delay: notes come in no later than this, in milliseconds, and no earlier: a player may
/// tap farther ahead of a click than his rig is late.
const LATEST_MS: f32 = 300.0;
const EARLIEST_MS: f32 = 100.0;

/// A parameter that chooses one of some named values.
fn choice<T>(name: &str, of: &'static [(&'static str, T)]) -> IntParam
where
    T: Sync,
{
    let last = i32::try_from(of.len()).unwrap_or(i32::MAX) - 1;
    let place = |value: i32| usize::try_from(value).unwrap_or(0).min(of.len() - 1);
    IntParam::new(name, 0, IntRange::Linear { min: 0, max: last })
        .with_value_to_string(Arc::new(move |value| of[place(value)].0.to_owned()))
        .with_string_to_value(Arc::new(move |text| {
            let found = of.iter().position(|(name, _)| *name == text.trim())?;
            i32::try_from(found).ok()
        }))
}

/// The value that is chosen.
fn chosen<T: Copy + Default>(param: &IntParam, of: &[(&str, T)]) -> T {
    let index = usize::try_from(param.value()).unwrap_or(0);
    of.get(index).map_or_else(T::default, |(_, value)| *value)
}

/// The farthest a player's own bias goes either way, in logits; see
/// [`overbar_core::ear::teach::FINEST`].
pub const MOST_FINER: f32 = 3.0;

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

/// Single places to click on: each beat and its "and", to the eighth beat of a bar.
const LAST_PLACE: i32 = 2 + 16;

/// The places of a value of `click_places`: every beat, 2 and 4, one bar in two, and then single
/// places: 1, its "and", 2, and so on.
#[must_use]
pub fn places(value: i32) -> Places {
    match value {
        ..=0 => Places::AllBeats,
        1 => Places::TwoAndFour,
        2 => Places::OneBarInTwo,
        _ => {
            let half_beats = value.min(LAST_PLACE) - 3;
            let pulse = u8::try_from(half_beats / 2 + 1).unwrap_or(1);
            let slot = if half_beats % 2 == 0 { Slot::On } else { Slot::Half };
            Places::Target(Spot { pulse, slot })
        }
    }
}

/// The greatest value of the drill's parameter, with room for drills to come.
const LAST_DRILL: i32 = 24;

fn drill_named(value: i32) -> String {
    let name = usize::try_from(value).ok().and_then(catalogue::name);
    match value {
        0 => "none",
        _ => name.unwrap_or("the one chosen"),
    }
    .to_owned()
}

fn named(value: i32) -> String {
    match places(value) {
        Places::AllBeats => "every beat".to_owned(),
        Places::TwoAndFour => "2 and 4".to_owned(),
        Places::OneBarInTwo => "one bar in two".to_owned(),
        Places::Target(spot) => format!("only {spot}"),
    }
}

/// A switch that is off at first.
fn on_or_off(name: &str) -> BoolParam {
    BoolParam::new(name, false)
        .with_value_to_string(Arc::new(|on| if on { "on" } else { "off" }.to_owned()))
        .with_string_to_value(Arc::new(|text| match text.trim() {
            "on" => Some(true),
            "off" => Some(false),
            _ => None,
        }))
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
