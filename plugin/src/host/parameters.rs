//! The parameters as the panel shows and sets them: by id and in words. Whatever parameter there
//! is, is here; none has to be listed.

use crate::command::action::To;
use crate::host::params::OverbarParams;
use crate::view_model::setting::Setting;
use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::{ParamPtr, Params};
use std::sync::Arc;

/// All parameters.
pub struct Knobs {
    params: Arc<OverbarParams>,
    each: Vec<(String, ParamPtr)>,
}

impl Knobs {
    /// Those of `params`.
    #[must_use]
    pub fn new(params: Arc<OverbarParams>) -> Self {
        let each = params.param_map().into_iter().map(|(id, knob, _)| (id, knob)).collect();
        Self { params, each }
    }

    /// The parameters themselves.
    #[must_use]
    pub fn params(&self) -> &OverbarParams {
        &self.params
    }

    /// Every parameter as it stands.
    #[must_use]
    pub fn settings(&self) -> Vec<Setting> {
        self.each.iter().map(|(id, knob)| setting(id, *knob)).collect()
    }

    /// Sets parameter `id` as one gesture of the user's: the host is told when it begins and
    /// ends. What cannot be read as a value changes nothing.
    pub fn set(&self, gui: &GuiContext, id: &str, to: &To) {
        let Some((_, knob)) = self.each.iter().find(|(known, _)| known == id) else { return };
        // SAFETY: the parameter is one of `self.params`, which outlives this call.
        unsafe {
            let now = knob.unmodulated_normalized_value();
            let value = match to {
                To::Less => Some(knob.previous_normalized_step(now, true)),
                To::More => Some(knob.next_normalized_step(now, true)),
                To::Default => Some(knob.default_normalized_value()),
                To::Typed(text) => knob.string_to_normalized_value(text),
            };
            let Some(value) = value.filter(|value| value.is_finite() && *value != now) else {
                return;
            };
            gui.raw_begin_set_parameter(*knob);
            gui.raw_set_parameter_normalized(*knob, value.clamp(0.0, 1.0));
            gui.raw_end_set_parameter(*knob);
        }
    }
}

fn setting(id: &str, knob: ParamPtr) -> Setting {
    // SAFETY: the parameter is one of the `OverbarParams` that whoever calls holds.
    unsafe {
        let now = knob.unmodulated_normalized_value();
        Setting {
            id: id.to_owned(),
            name: knob.name().to_owned(),
            value: knob.normalized_value_to_string(now, true),
            is_switch: matches!(knob, ParamPtr::BoolParam(_)),
            at_default: now == knob.default_normalized_value(),
            at_least: knob.previous_normalized_step(now, true) == now,
            at_most: knob.next_normalized_step(now, true) == now,
        }
    }
}
