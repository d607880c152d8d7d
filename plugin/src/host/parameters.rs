//! The parameters as the panel shows and sets them: by id and in words. None has to be listed here.

use crate::host::params::OverbarParams;
use crate::view_model::setting::{Adjustment, Setting};
use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::{ParamPtr, Params};
use std::sync::Arc;

/// All parameters.
pub struct ParameterAccess {
    params: Arc<OverbarParams>,
    each: Vec<(String, ParamPtr)>,
}

impl ParameterAccess {
    /// Those of `params`.
    pub fn new(params: Arc<OverbarParams>) -> Self {
        let each = params.param_map().into_iter().map(|(id, param, _)| (id, param)).collect();
        Self { params, each }
    }

    /// The parameters themselves.
    pub fn params(&self) -> &OverbarParams {
        &self.params
    }

    /// Every parameter as it stands.
    pub fn settings(&self) -> Vec<Setting> {
        self.each.iter().map(|(id, param)| setting(id, *param)).collect()
    }

    /// Sets parameter `id` as one gesture of the user's: the host is told when it begins and
    /// ends. What cannot be read as a value changes nothing.
    pub fn set(&self, gui: &GuiContext, id: &str, to: &Adjustment) {
        let Some((_, param)) = self.each.iter().find(|(known, _)| known == id) else { return };
        // SAFETY: the parameter is one of `self.params`, which outlives this call.
        unsafe {
            let now = param.unmodulated_normalized_value();
            let value = match to {
                Adjustment::Less => Some(param.previous_normalized_step(now, true)),
                Adjustment::More => Some(param.next_normalized_step(now, true)),
                Adjustment::Default => Some(param.default_normalized_value()),
                Adjustment::Typed(text) => param.string_to_normalized_value(text),
            };
            let Some(value) = value.filter(|value| value.is_finite() && *value != now) else {
                return;
            };
            gui.raw_begin_set_parameter(*param);
            gui.raw_set_parameter_normalized(*param, value.clamp(0.0, 1.0));
            gui.raw_end_set_parameter(*param);
        }
    }
}

fn setting(id: &str, param: ParamPtr) -> Setting {
    // SAFETY: the parameter is one of the `OverbarParams` that whoever calls holds.
    unsafe {
        let now = param.unmodulated_normalized_value();
        Setting {
            id: id.to_owned(),
            name: param.name().to_owned(),
            value: param.normalized_value_to_string(now, true),
            is_switch: matches!(param, ParamPtr::BoolParam(_)),
            at_default: now == param.default_normalized_value(),
            at_least: param.previous_normalized_step(now, true) == now,
            at_most: param.next_normalized_step(now, true) == now,
        }
    }
}
