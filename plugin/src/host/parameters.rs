//! The parameters as the panel shows and sets them: by id and as text. New ones need not be listed here.

use crate::host::params::{ListenParams, OverbarParams};
use crate::view_model::setting::{Adjustment, Drag, Setting};
use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::{ParamPtr, Params};
use std::sync::Arc;

/// A parameter with more steps than this gets a slider: a range, not a choice. Origin: own choice.
const MAX_STEPS: usize = 24;

/// All parameters.
pub struct ParameterAccess {
    /// Owns what `each` points to.
    #[expect(dead_code, reason = "it keeps the parameters")]
    kept: Arc<dyn Params>,
    common: Arc<OverbarParams>,
    each: Vec<(String, ParamPtr)>,
}

impl ParameterAccess {
    /// The parameters of the MIDI plugin.
    pub fn new(params: Arc<OverbarParams>) -> Self {
        let each = params.param_map().into_iter().map(|(id, param, _)| (id, param)).collect();
        Self { kept: params.clone(), common: params, each }
    }

    /// The parameters of the listening plugin, without those for MIDI only.
    pub fn listening(params: Arc<ListenParams>) -> Self {
        let for_midi = |id: &str| ListenParams::FOR_MIDI.contains(&id);
        let each = params.param_map().into_iter().map(|(id, param, _)| (id, param));
        let each = each.filter(|(id, _)| !for_midi(id)).collect();
        Self { common: params.common.clone(), kept: params, each }
    }

    /// The parameters that both plugins have.
    pub fn params(&self) -> &OverbarParams {
        &self.common
    }

    /// Every parameter with its value.
    pub fn settings(&self) -> Vec<Setting> {
        self.each.iter().map(|(id, param)| setting(id, *param)).collect()
    }

    /// Sets parameter `id` in one gesture, whose start and end the host sees. Text that cannot be parsed
    /// changes nothing.
    pub fn set(&self, gui: &GuiContext, id: &str, to: &Adjustment) {
        let Some((_, param)) = self.each.iter().find(|(known, _)| known == id) else { return };
        // SAFETY: the parameter is one of `self.kept`, which outlives this call.
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

    /// Drags parameter `id` to a fraction of its range, from 0 to 1. The whole drag is one gesture.
    pub fn drag(&self, gui: &GuiContext, id: &str, to: f32, drag: Drag) {
        let Some((_, param)) = self.each.iter().find(|(known, _)| known == id) else { return };
        // SAFETY: as above.
        unsafe {
            if matches!(drag, Drag::Whole | Drag::Starts) {
                gui.raw_begin_set_parameter(*param);
            }
            if to.is_finite() && to != param.unmodulated_normalized_value() {
                gui.raw_set_parameter_normalized(*param, to.clamp(0.0, 1.0));
            }
            if matches!(drag, Drag::Whole | Drag::Ends) {
                gui.raw_end_set_parameter(*param);
            }
        }
    }
}

fn setting(id: &str, param: ParamPtr) -> Setting {
    // SAFETY: the caller holds the parameters.
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
            fraction: now,
            is_level: param.step_count().is_none_or(|steps| steps > MAX_STEPS),
        }
    }
}
