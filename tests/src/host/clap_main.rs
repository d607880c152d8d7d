//! A CLAP host's main thread: parameters, state and callbacks.

use super::Parameter;
use super::clap_handlers::Handlers;
use clack_extensions::params::{ParamInfoBuffer, PluginParams};
use clack_extensions::state::PluginState;
use clack_host::extensions::{Extension, PluginExtensionSide};
use clack_host::prelude::{ClapId, PluginInstance, PluginMainThreadHandle};
use std::ffi::CString;
use std::io::Cursor;
use std::sync::atomic::Ordering;

fn text_of(
    params: &PluginParams,
    handle: &PluginMainThreadHandle<'_>,
    id: ClapId,
    value: f64,
) -> String {
    let mut text = [0_u8; 256];
    let text = params.value_to_text(handle, id, value, &mut text);
    text.map_or_else(|_| String::new(), |text| String::from_utf8_lossy(text).into())
}

/// The main thread's part.
pub struct ClapMain {
    pub(super) instance: PluginInstance<Handlers>,
    pub(super) gui_open: bool,
}

impl ClapMain {
    pub(super) fn extension<E>(&self) -> Option<E>
    where
        E: Extension<ExtensionSide = PluginExtensionSide>,
    {
        self.instance.plugin_shared_handle().get_extension()
    }

    /// See [`super::Host::parameters`].
    pub fn parameters(&mut self) -> Vec<Parameter> {
        let Some(params) = self.extension::<PluginParams>() else { return Vec::new() };
        let handle = self.instance.plugin_handle();
        let mut buffer = ParamInfoBuffer::new();
        let mut all = Vec::new();
        for index in 0..params.count(&handle) {
            let Some(info) = params.get_info(&handle, index, &mut buffer) else { continue };
            let value = params.get_value(&handle, info.id).unwrap_or(f64::NAN);
            let text = text_of(&params, &handle, info.id, value);
            all.push(Parameter {
                id: info.id.get(),
                name: String::from_utf8_lossy(info.name).into_owned(),
                min: info.min_value,
                max: info.max_value,
                default: info.default_value,
                value,
                text,
            });
        }
        all
    }

    /// The text that the plugin shows for `value` of a parameter, and the value that it parses from that
    /// text, if it can.
    pub fn there_and_back(&mut self, id: u32, value: f64) -> Option<(String, f64)> {
        let params = self.extension::<PluginParams>()?;
        let handle = self.instance.plugin_handle();
        let text = text_of(&params, &handle, ClapId::new(id), value);
        let read = CString::new(text.clone()).ok()?;
        Some((text, params.text_to_value(&handle, ClapId::new(id), &read)?))
    }

    /// See [`super::Host::save_state`].
    ///
    /// # Panics
    /// If the plugin does not give its state.
    pub fn save_state(&mut self) -> Vec<u8> {
        let state = self.extension::<PluginState>().expect("the plugin keeps a state");
        let mut bytes = Vec::new();
        state.save(&self.instance.plugin_handle(), &mut bytes).expect("the plugin saves its state");
        bytes
    }

    /// See [`super::Host::load_state`].
    pub fn load_state(&mut self, bytes: &[u8]) -> bool {
        let Some(state) = self.extension::<PluginState>() else { return false };
        state.load(&self.instance.plugin_handle(), &mut Cursor::new(bytes)).is_ok()
    }

    pub(super) fn service(&mut self) {
        let asked =
            self.instance.access_shared_handler(|r| r.callback.swap(false, Ordering::AcqRel));
        if asked {
            self.instance.call_on_main_thread_callback();
        }
    }
}
