//! What a CLAP host does on the main thread: parameters, state and callbacks.

use super::Parameter;
use super::clap_handlers::Handlers;
use clack_extensions::params::{ParamInfoBuffer, PluginParams};
use clack_extensions::state::PluginState;
use clack_host::extensions::{Extension, PluginExtensionSide};
use clack_host::prelude::{ClapId, PluginInstance};
use std::ffi::CStr;
use std::io::Cursor;
use std::sync::atomic::Ordering;

/// What belongs to the main thread.
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
            let mut text = [0_u8; 256];
            let text = params.value_to_text(&handle, info.id, value, &mut text);
            all.push(Parameter {
                id: info.id.get(),
                name: String::from_utf8_lossy(info.name).into_owned(),
                min: info.min_value,
                max: info.max_value,
                default: info.default_value,
                value,
                text: text.map_or_else(|_| String::new(), |t| String::from_utf8_lossy(t).into()),
            });
        }
        all
    }

    /// The value that the plugin reads from `text` for a parameter, if it can.
    pub fn value_of_text(&mut self, id: u32, text: &CStr) -> Option<f64> {
        let params = self.extension::<PluginParams>()?;
        params.text_to_value(&self.instance.plugin_handle(), ClapId::new(id), text)
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
