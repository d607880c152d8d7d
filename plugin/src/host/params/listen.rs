//! The parameters of the listening plugin: those of the MIDI plugin, and how it hears.

use crate::host::params::OverbarParams;
use crate::host::params::values::{INSTRUMENTS, ROLES, choice, chosen, on_or_off};
use crate::host::state::Saved;
use crate::worker::ParameterValues;
use nice_plug::prelude::*;
use overbar_core::transcription::TrackerSettings;
use std::sync::Arc;

/// See the module.
#[derive(Params)]
pub struct ListenParams {
    /// Those that both plugins have, and the saved state.
    #[nested]
    pub common: Arc<OverbarParams>,
    /// Whom it hears; see [`crate::view_model::input::Role`].
    #[id = "role"]
    pub role: IntParam,
    /// What is played; see [`overbar_core::transcription::Instrument`].
    #[id = "instrument"]
    pub instrument: IntParam,
    /// What the player tunes to, in Hz; under 430 it is found from the playing.
    #[id = "tuning"]
    pub tuning: IntParam,
    /// Whether the notes that are heard are sent as MIDI.
    #[id = "midi_out"]
    pub midi_out: BoolParam,
}

/// The value of the tuning that stands for one that is found.
const AUTO_TUNING: i32 = 429;

impl ListenParams {
    /// Parameters that a panel for MIDI alone would show: sound has no channel, and one voice.
    pub const FOR_MIDI: [&'static str; 4] = ["channel", "melody", "tap_note", "tap_channel"];

    /// Parameters at their defaults, with `saved` as the rest of the state.
    pub fn new(saved: Saved) -> Self {
        let hertz = |value: i32| match value {
            AUTO_TUNING => "auto".to_owned(),
            _ => format!("{value} Hz"),
        };
        let tuning =
            IntParam::new("Tuning", AUTO_TUNING, IntRange::Linear { min: AUTO_TUNING, max: 450 });
        Self {
            common: Arc::new(OverbarParams::new(saved)),
            role: choice("Role", &ROLES),
            instrument: choice("Instrument", &INSTRUMENTS),
            tuning: tuning.with_value_to_string(Arc::new(hertz)).with_string_to_value(Arc::new(
                |text| match text.trim() {
                    "auto" => Some(AUTO_TUNING),
                    typed => typed.split_whitespace().next()?.parse().ok(),
                },
            )),
            midi_out: on_or_off("Send heard notes as MIDI"),
        }
    }

    /// The values that the worker follows.
    pub fn values(&self) -> ParameterValues {
        let mut values = self.common.values();
        values.settings.hearing.channel = None;
        values.settings.passes.from_sound = true;
        values.role = chosen(&self.role, &ROLES);
        let tuning = self.tuning.value();
        values.tracker = TrackerSettings {
            instrument: chosen(&self.instrument, &INSTRUMENTS),
            tuning: (tuning != AUTO_TUNING).then(|| f64::from(tuning)),
        };
        values
    }
}
