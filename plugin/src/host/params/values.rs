//! The text of parameter values, and their meaning.

use crate::practice::catalogue;
use crate::view_model::input::Role;
use nice_plug::prelude::*;
use overbar_core::practice::BarPosition;
use overbar_core::practice::metronome::{ClickPattern, LOUDEST};
use overbar_core::quantization::PulseSubdivision;
use overbar_core::session::own_beat::BeatSource;
use overbar_core::take::settings::Melody;
use overbar_core::take::settings::{Feel, Pulse};
use overbar_core::transcription::Instrument;
use std::ops::RangeInclusive;
use std::sync::Arc;

/// The choices, in the order of their values, which never changes; the first is the default.
pub(super) const MELODIES: [(&str, Melody); 3] =
    [("auto", Melody::Auto), ("top voice", Melody::Top), ("all notes", Melody::All)];
pub(super) const PULSES: [(&str, Pulse); 3] =
    [("as host", Pulse::Host), ("half-time", Pulse::Half), ("double-time", Pulse::Double)];
pub(super) const BEAT_SOURCES: [(&str, BeatSource); 3] =
    [("host", BeatSource::Host), ("taps", BeatSource::Taps), ("band", BeatSource::Band)];
pub(super) const ROLES: [(&str, Role); 3] =
    [("soloist", Role::Soloist), ("band", Role::Band), ("solo L, band R", Role::SoloistAndBand)];
pub(super) const INSTRUMENTS: [(&str, Instrument); 10] = [
    ("any", Instrument::Any),
    ("alto sax", Instrument::AltoSax),
    ("tenor sax", Instrument::TenorSax),
    ("baritone sax", Instrument::BaritoneSax),
    ("trumpet", Instrument::Trumpet),
    ("trombone", Instrument::Trombone),
    ("clarinet", Instrument::Clarinet),
    ("flute", Instrument::Flute),
    ("guitar", Instrument::Guitar),
    ("voice", Instrument::Voice),
];
pub(super) const FEELS: [(&str, Feel); 3] =
    [("auto", Feel::Auto), ("straight", Feel::Straight), ("swing", Feel::Swing)];

/// Rounds to a whole number, never −0.
pub(super) fn whole(value: f32) -> String {
    format!("{:.0}", value.round() + 0.0)
}

/// A parameter with named values.
pub(super) fn choice<T>(name: &str, of: &'static [(&'static str, T)]) -> IntParam
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

/// The chosen value.
pub(super) fn chosen<T: Copy + Default>(param: &IntParam, of: &[(&str, T)]) -> T {
    let index = usize::try_from(param.value()).unwrap_or(0);
    of.get(index).map_or_else(T::default, |(_, value)| *value)
}

/// The largest bias of a player in either direction, in logits; see
/// [`overbar_core::segmentation::teach::FINEST`].
pub const MAX_FINER: f32 = 3.0;

/// The phrase sensitivity: "default", "+0.50".
pub(super) fn sensitivity(finer: f32) -> String {
    if finer.abs() < 0.025 { "default".to_owned() } else { format!("{finer:+.2}") }
}

pub(super) fn sensitivity_from_text(text: &str) -> Option<f32> {
    match text.trim() {
        "default" => Some(0.0),
        // Either minus sign can be typed.
        number => number.replace('\u{2212}', "-").parse().ok(),
    }
}

/// A length in quarter bars, formatted by `format`: "under 1 bar", "2.5 bars or more".
pub(super) fn bars(name: &str, default: f64, max: f32, format: fn(&str) -> String) -> FloatParam {
    let shown = move |bars: f32| {
        format(&if bars == 1.0 { "1 bar".to_owned() } else { format!("{bars} bars") })
    };
    #[expect(clippy::cast_possible_truncation, reason = "a small round number")]
    FloatParam::new(name, default as f32, FloatRange::Linear { min: 0.25, max })
        .with_step_size(0.25)
        .with_value_to_string(Arc::new(shown))
        .with_string_to_value(Arc::new(|text| {
            text.split_whitespace().find_map(|word| word.parse().ok())
        }))
}

/// A click level, shown as its peak in dBFS.
pub(super) fn level(name: &str, default: f32) -> FloatParam {
    let (shown, read) = (formatters::v2s_f32_gain_to_db(1), formatters::s2v_f32_gain_to_db());
    FloatParam::new(name, default, FloatRange::Linear { min: 0.0, max: 1.0 })
        .with_value_to_string(Arc::new(move |level| shown(level * LOUDEST)))
        .with_string_to_value(Arc::new(move |text| read(text).map(|peak| peak / LOUDEST)))
        .with_unit(" dB")
}

/// A note or none: the value is one more than the key.
pub(super) fn note_or_off(name: &str) -> IntParam {
    let (to_name, from_name) =
        (formatters::v2s_i32_key_formatter(), formatters::s2v_i32_key_formatter());
    IntParam::new(name, 0, IntRange::Linear { min: 0, max: 128 })
        .with_value_to_string(Arc::new(move |value| match value {
            0 => "off".to_owned(),
            _ => to_name(value - 1),
        }))
        .with_string_to_value(Arc::new(move |text| match text.trim() {
            "off" => Some(0),
            key => key.parse().ok().or_else(|| from_name(key)).map(|key| key + 1),
        }))
}

/// A note by name; 60 is C4. Its number can be typed too.
pub(super) fn note(name: &str, default: i32) -> IntParam {
    let from_name = formatters::s2v_i32_key_formatter();
    IntParam::new(name, default, IntRange::Linear { min: 0, max: 127 })
        .with_value_to_string(formatters::v2s_i32_key_formatter())
        .with_string_to_value(Arc::new(move |text| {
            text.trim().parse().ok().or_else(|| from_name(text))
        }))
}

/// Single click positions: each beat and its "and", up to the eighth beat of a bar.
pub(super) const LAST_PLACE: i32 = 2 + 16;

/// The click pattern of a `click_places` value: every beat, 2 and 4, every other bar, and then single
/// positions: 1, its "and", 2, and so on.
pub fn click_pattern(value: i32) -> ClickPattern {
    match value {
        ..=0 => ClickPattern::AllBeats,
        1 => ClickPattern::TwoAndFour,
        2 => ClickPattern::OneBarInTwo,
        _ => {
            let half_beats = value.min(LAST_PLACE) - 3;
            let pulse = u8::try_from(half_beats / 2 + 1).unwrap_or(1);
            let slot =
                if half_beats % 2 == 0 { PulseSubdivision::On } else { PulseSubdivision::Half };
            ClickPattern::Target(BarPosition { pulse, subdivision: slot })
        }
    }
}

/// The largest value of the drill parameter, with room for future drills.
pub(super) const LAST_DRILL: i32 = 24;

pub(super) fn drill_named(value: i32) -> String {
    let name = usize::try_from(value).ok().and_then(catalogue::name);
    match value {
        0 => "off",
        _ => name.unwrap_or("selected drill"),
    }
    .to_owned()
}

pub(super) fn named(value: i32) -> String {
    match click_pattern(value) {
        ClickPattern::AllBeats => "every beat".to_owned(),
        ClickPattern::TwoAndFour => "2 and 4".to_owned(),
        ClickPattern::OneBarInTwo => "every other bar".to_owned(),
        ClickPattern::Target(spot) => format!("{spot} only"),
    }
}

/// A switch that is off by default.
pub(super) fn on_or_off(name: &str) -> BoolParam {
    switch(name, false)
}

/// A switch with the default `at_first`.
pub(super) fn switch(name: &str, at_first: bool) -> BoolParam {
    BoolParam::new(name, at_first)
        .with_value_to_string(Arc::new(|on| if on { "on" } else { "off" }.to_owned()))
        .with_string_to_value(Arc::new(|text| match text.trim() {
            "on" => Some(true),
            "off" => Some(false),
            _ => None,
        }))
}

type ToText = Arc<dyn Fn(i32) -> String + Send + Sync>;

/// A whole number, shown by `to_text`. Parsing takes the first number in the text; words that mean 0 give 0.
pub(super) fn number(
    name: &str,
    default: i32,
    range: RangeInclusive<i32>,
    to_text: ToText,
) -> IntParam {
    let (min, max) = range.into_inner();
    let from_text = |text: &str| {
        let text = text.trim();
        if ["off", "all", "any"].contains(&text) {
            return Some(0);
        }
        text.split_whitespace().find_map(|word| word.parse().ok())
    };
    IntParam::new(name, default, IntRange::Linear { min, max })
        .with_value_to_string(to_text)
        .with_string_to_value(Arc::new(from_text))
}

/// Shows 0 as `zero`, and other values by `others`.
pub(super) fn zero_as(zero: &'static str, others: fn(i32) -> String) -> ToText {
    Arc::new(move |value| if value == 0 { zero.to_owned() } else { others(value) })
}

pub(super) fn off_or(others: fn(i32) -> String) -> ToText {
    zero_as("off", others)
}

/// Whole bars: "1 bar", "8 bars".
pub(super) fn whole_bars(count: i32) -> String {
    if count == 1 { "1 bar".to_owned() } else { format!("{count} bars") }
}

/// A value from 0 to `last`, shown by name.
pub(super) fn named_values(name: &str, last: i32, named: fn(i32) -> String) -> IntParam {
    IntParam::new(name, 0, IntRange::Linear { min: 0, max: last })
        .with_value_to_string(Arc::new(named))
        .with_string_to_value(Arc::new(move |text| {
            (0..=last).find(|value| named(*value) == text.trim())
        }))
}
