//! The parameters a host sees. Their ids are part of every saved project: they never change.

use crate::audio::hear::HearSettings;
use crate::audio::taps::TapSettings;
use crate::host::params::values::{
    BEAT_SOURCES, FEELS, LAST_DRILL, LAST_PLACE, MELODIES, PULSES, bars, choice, chosen,
    drill_named, level, named, named_values, note, note_or_off, number, off_or, on_or_off,
    sensitivity, sensitivity_from_text, switch, whole, whole_bars, zero_as,
};
use crate::host::state::Saved;
use crate::view_model::input::Role;
use crate::worker::ParameterValues;
use nice_plug::prelude::*;
use overbar_core::output::hear::HearOptions;
use overbar_core::practice::metronome::Clicks;
use overbar_core::session::own_beat::BeatSource;
use overbar_core::take::settings::{AlertSettings, Hearing, LATENCY_MS, Passes, Settings, Solos};
use overbar_core::time::SecondSpan;
use overbar_core::transcription::TrackerSettings;
use std::sync::Arc;

mod listen;
mod values;

pub use crate::host::params::listen::ListenParams;
pub use crate::host::params::values::{MAX_FINER, click_pattern};

/// All parameters, and the saved state that is not a parameter.
#[derive(Params)]
pub struct OverbarParams {
    /// Takes and the panel's look; see [`crate::host::state`].
    #[persist = "overbar"]
    pub saved: Saved,
    /// Consecutive phrases on beat one that trigger the alert; 0 for never.
    #[id = "one_streak"]
    pub beat_one_streak: IntParam,
    /// Consecutive short phrases that trigger the alert; 0 for never.
    #[id = "short_streak"]
    pub short_streak: IntParam,
    /// Phrases shorter than this are short, in bars.
    #[id = "short_bars"]
    pub short_phrase_bars: FloatParam,
    /// Phrases at least this long are long lines, in bars.
    #[id = "long_bars"]
    pub long_line_bars: FloatParam,
    /// Bars without a long line that trigger the alert; 0 for never.
    #[id = "long_within"]
    pub long_line_within_bars: IntParam,
    /// MIDI channel from 1; 0 for all.
    #[id = "channel"]
    pub channel: IntParam,
    /// Lowest note of the soloist.
    #[id = "low_key"]
    pub lowest_key: IntParam,
    /// Highest note of the soloist.
    #[id = "high_key"]
    pub highest_key: IntParam,
    /// Which written beat of the host's bar is the tune's beat one.
    #[id = "one_offset"]
    pub beat_one_offset: IntParam,
    /// The player's bias for splitting phrases; 0 if not learnt.
    #[id = "finer"]
    pub finer: FloatParam,
    /// Whether the metronome clicks.
    #[id = "click"]
    pub click: BoolParam,
    /// The click pattern; see [`click_pattern`].
    #[id = "click_places"]
    pub click_places: IntParam,
    /// Bars after a start in which every beat clicks.
    #[id = "click_count_in"]
    pub click_count_in: IntParam,
    /// The click level, from 0 to 1; see [`overbar_core::practice::metronome::LEVEL_CAUTION`].
    #[id = "click_level"]
    pub click_level: FloatParam,
    /// Whether takes are kept only while the host records.
    #[id = "record_only"]
    pub recorded_only: BoolParam,
    /// Whether a known take played back by the host is kept as a new take.
    #[id = "playback"]
    pub keep_playback: BoolParam,
    /// Bars of rest that split a long take into solos; 0 splits at markers only.
    #[id = "solo_rest"]
    pub solo_rest: IntParam,
    /// Switching it on adds a marker at the current position; a parameter, so that a pedal can do it.
    #[id = "mark"]
    pub mark: BoolParam,
    /// Which of the soloist's notes belong to the line; see [`overbar_core::take::settings::Melody`].
    #[id = "melody"]
    pub melody: IntParam,
    /// The felt pulse; see [`overbar_core::take::settings::Pulse`].
    #[id = "felt_pulse"]
    pub pulse: IntParam,
    /// The feel of eighths; see [`overbar_core::take::settings::Feel`].
    #[id = "feel"]
    pub feel: IntParam,
    /// The input latency in milliseconds.
    #[id = "rig_delay"]
    pub latency: FloatParam,
    /// The beat source; see [`overbar_core::session::own_beat::BeatSource`].
    #[id = "beat_source"]
    pub beat_source: IntParam,
    /// Pairs a band with its soloists; 0 for no pair.
    #[id = "pair"]
    pub pair: IntParam,
    /// The note that taps the beat: 0 for none, otherwise one more than its key.
    #[id = "tap_note"]
    pub tap_note: IntParam,
    /// The channel of that note from 1; 0 for all.
    #[id = "tap_channel"]
    pub tap_channel: IntParam,
    /// Switching it on taps the beat; a parameter, so that a pedal can do it.
    #[id = "tap"]
    pub tap: BoolParam,
    /// Shows the stage view. A parameter, so that a pedal can switch it.
    #[id = "across"]
    pub across_the_room: BoolParam,
    /// Starts a drill: 0 ends it, then come those of [`crate::practice::catalogue`], and any other value is
    /// the drill chosen in the panel.
    #[id = "drill"]
    pub drill: IntParam,
    /// The speed of Hear, in percent of the tempo.
    #[id = "hear_speed"]
    pub hear_speed: FloatParam,
    /// Whether Hear loops.
    #[id = "hear_loop"]
    pub hear_loop: BoolParam,
    /// Whether Hear clicks on each felt beat.
    #[id = "hear_click"]
    pub hear_click: BoolParam,
    /// Whether Hear plays a tone through the audio output, besides MIDI.
    #[id = "hear_tone"]
    pub hear_tone: BoolParam,
    /// The level of the tone in dBFS.
    #[id = "hear_level"]
    pub hear_level: FloatParam,
}

impl OverbarParams {
    /// Parameters at their defaults, with `saved` as the rest of the state.
    pub fn new(saved: Saved) -> Self {
        let defaults = AlertSettings::default();
        let count = |n: u32| i32::try_from(n).unwrap_or(i32::MAX);
        let streak = |name, default| {
            number(name, count(default), 0..=16, off_or(|count| format!("{count} in a row")))
        };
        let between = |name: &str, default: f32, min: f32, max: f32| {
            FloatParam::new(name, default, FloatRange::Linear { min, max })
        };
        #[expect(clippy::cast_possible_truncation, reason = "small round numbers")]
        let [earliest, latest] = [*LATENCY_MS.start() as f32, *LATENCY_MS.end() as f32];
        Self {
            saved,
            beat_one_streak: streak("Beat-one alert", defaults.beat_one_streak),
            short_streak: streak("Short-phrase alert", defaults.short_streak),
            short_phrase_bars: bars("Short phrase", defaults.short_phrase_bars, 4.0, |bars| {
                format!("under {bars}")
            }),
            long_line_bars: bars("Long line", defaults.long_line_bars, 16.0, |bars| {
                format!("{bars} or more")
            }),
            long_line_within_bars: number(
                "Long-line alert",
                12,
                0..=64,
                off_or(|count| format!("after {}", whole_bars(count))),
            ),
            channel: number("MIDI channel", 0, 0..=16, zero_as("all", |n| n.to_string())),
            lowest_key: note("Lowest note", 0),
            highest_key: note("Highest note", 127),
            beat_one_offset: number(
                "Downbeat offset",
                0,
                -16..=16,
                Arc::new(|offset| match offset {
                    0 => "0".to_owned(),
                    -1 | 1 => format!("{offset:+} beat"),
                    _ => format!("{offset:+} beats"),
                }),
            ),
            finer: between("Phrase sensitivity", 0.0, -MAX_FINER, MAX_FINER)
                .with_step_size(0.05)
                .with_value_to_string(Arc::new(sensitivity))
                .with_string_to_value(Arc::new(sensitivity_from_text)),
            click: BoolParam::new("Click", false),
            click_places: named_values("Click pattern", LAST_PLACE, named),
            click_count_in: number("Click count-in", 0, 0..=4, off_or(whole_bars)),
            // A quarter, to be turned up from there.
            click_level: level("Click level", 0.25),
            melody: choice("Line detection", &MELODIES),
            pulse: choice("Pulse", &PULSES),
            feel: choice("Eighth-note feel", &FEELS),
            latency: between("Input latency", 0.0, earliest, latest)
                .with_step_size(1.0)
                .with_value_to_string(Arc::new(whole))
                .with_unit(" ms"),
            beat_source: choice("Beat source", &BEAT_SOURCES),
            pair: number("Band", 0, 0..=8, zero_as("any", |n| n.to_string())),
            tap_note: note_or_off("Tap note"),
            tap_channel: number("Tap channel", 0, 0..=16, zero_as("all", |n| n.to_string())),
            tap: on_or_off("Tap"),
            recorded_only: on_or_off("Takes only while recording"),
            keep_playback: on_or_off("Keep playback passes as takes"),
            solo_rest: number(
                "Split solos after rest",
                i32::from(Solos::default().dividing_rest_bars),
                0..=64,
                off_or(whole_bars),
            ),
            mark: on_or_off("Add marker"),
            across_the_room: on_or_off("Stage view"),
            drill: named_values("Drill", LAST_DRILL, drill_named),
            hear_speed: between("Hear speed", 100.0, 50.0, 100.0)
                .with_step_size(5.0)
                .with_value_to_string(Arc::new(whole))
                .with_unit(" %"),
            hear_loop: on_or_off("Hear loop"),
            hear_click: on_or_off("Hear click"),
            hear_tone: switch("Hear tone", true),
            // Low, to be turned up from there.
            hear_level: between("Hear tone level", -24.0, -48.0, -6.0)
                .with_step_size(1.0)
                .with_value_to_string(Arc::new(whole))
                .with_unit(" dB"),
        }
    }

    /// The metronome's settings; `None` while it is off.
    pub fn clicks(&self) -> Option<Clicks> {
        self.click.value().then(|| Clicks {
            pattern: click_pattern(self.click_places.value()),
            count_in: u8::try_from(self.click_count_in.value()).unwrap_or(0),
            level: self.click_level.value(),
            beat_one_offset: self.beat_one_offset.value(),
            pulse: chosen(&self.pulse, &PULSES),
        })
    }

    /// What counts as a tap of the beat.
    pub fn taps(&self) -> TapSettings {
        let from_one = |value: i32| u8::try_from(value).ok().and_then(|n| n.checked_sub(1));
        TapSettings {
            on: self.beat_source() != BeatSource::Host,
            note: from_one(self.tap_note.value())
                .map(|key| (key, from_one(self.tap_channel.value()))),
            pressed: self.tap.value(),
        }
    }

    /// The beat source.
    pub fn beat_source(&self) -> BeatSource {
        chosen(&self.beat_source, &BEAT_SOURCES)
    }

    /// The settings of Hear.
    pub fn hear(&self) -> HearSettings {
        let level = nice_plug::util::db_to_gain_fast(self.hear_level.value());
        HearSettings {
            options: HearOptions {
                speed: f64::from(self.hear_speed.value()) / 100.0,
                looped: self.hear_loop.value(),
                clicks: self.hear_click.value(),
            },
            tone: self.hear_tone.value().then_some(level),
            click_level: self.click_level.value(),
        }
    }

    /// The values that the worker uses.
    pub fn values(&self) -> ParameterValues {
        let (settings, drill, mark) = (self.settings(), self.drill.value(), self.mark.value());
        let (beat_source, tracker) = (self.beat_source(), TrackerSettings::default());
        let pair = u8::try_from(self.pair.value()).unwrap_or(0);
        let role = Role::Soloist;
        ParameterValues { settings, drill, mark, beat_source, pair, role, tracker }
    }

    /// The analysis settings.
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
                from_sound: false,
            },
            solos: Solos { dividing_rest_bars: u8::try_from(self.solo_rest.value()).unwrap_or(0) },
            feel: chosen(&self.feel, &FEELS),
            pulse: chosen(&self.pulse, &PULSES),
            latency: SecondSpan(f64::from(self.latency.value()) / 1e3),
        }
    }
}
