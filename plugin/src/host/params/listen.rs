//! The parameters of the listening plugin: those of the MIDI plugin, and its audio settings.

use crate::host::params::OverbarParams;
use crate::host::params::values::{INSTRUMENTS, ROLES, choice, chosen, on_or_off};
use crate::host::state::Saved;
use crate::worker::ParameterValues;
use nice_plug::prelude::*;
use overbar_core::transcription::TrackerSettings;
use std::sync::Arc;

/// All parameters of the listening plugin.
#[derive(Params)]
pub struct ListenParams {
    /// The parameters that both plugins have, and the saved state.
    #[nested]
    pub common: Arc<OverbarParams>,
    /// Whom it listens to; see [`crate::view_model::input::Role`].
    #[id = "role"]
    pub role: IntParam,
    /// The instrument; see [`overbar_core::transcription::Instrument`].
    #[id = "instrument"]
    pub instrument: IntParam,
    /// The player's tuning in Hz; below 430 it is estimated from the playing.
    #[id = "tuning"]
    pub tuning: IntParam,
    /// Whether transcribed notes are sent as MIDI.
    #[id = "midi_out"]
    pub midi_out: BoolParam,
}

/// The tuning value that means: estimate it.
const AUTO_TUNING: i32 = 429;

impl ListenParams {
    /// Parameters that only make sense with MIDI: sound has one voice and no channels.
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

    /// The values that the worker uses.
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
