//! A CLAP host around one instance.

use super::clap_audio::{ClapAudio, Prepared};
use super::clap_events::{self, Outbox};
use super::clap_handlers::{Handlers, MainSide, Requests};
use super::clap_main::ClapMain;
use super::event::Block;
use super::{Heard, Host, HostError, Parameter};
use clack_extensions::params::PluginParams;
use clack_host::entry::EntryDescriptor;
use clack_host::prelude::{
    HostInfo, InputEvents, OutputEvents, PluginAudioConfiguration, PluginEntry, PluginInstance,
};
use std::ffi::CStr;
use std::path::Path;

/// The listening plugin's id.
const LISTENING: &CStr = c"org.overbar.listen";

/// A CLAP plugin in a host that can represent everything in a [`Block`].
pub struct ClapRig {
    pub(super) main: ClapMain,
    audio: Option<ClapAudio>,
}

impl ClapRig {
    /// The plugin that is linked into the test binary.
    ///
    /// # Errors
    /// If it cannot be instantiated.
    pub fn linked() -> Result<Self, HostError> {
        // SAFETY: the entry is made by the framework's macro, which keeps to the standard.
        unsafe { Self::from_entry(&overbar::clap_entry) }
    }

    /// The listening plugin that is linked into the test binary.
    ///
    /// # Errors
    /// If it cannot be instantiated.
    pub fn linked_listening() -> Result<Self, HostError> {
        // SAFETY: as above.
        let entry = unsafe { PluginEntry::load_from_raw(&overbar::clap_entry, c"") };
        let entry = entry.map_err(|error| HostError::new("entry", error))?;
        Self::new(&entry, Some(LISTENING))
    }

    /// The first plugin of an entry in the test's own binary.
    ///
    /// # Safety
    /// The entry has to keep to the CLAP standard.
    ///
    /// # Errors
    /// If the plugin cannot be instantiated.
    pub unsafe fn from_entry(entry: &'static EntryDescriptor) -> Result<Self, HostError> {
        // SAFETY: the caller's promise.
        let entry = unsafe { PluginEntry::load_from_raw(entry, c"") };
        Self::new(&entry.map_err(|error| HostError::new("entry", error))?, None)
    }

    /// The first plugin of a bundle.
    ///
    /// # Errors
    /// If the bundle cannot be loaded or its plugin not instantiated.
    pub fn load(path: &Path) -> Result<Self, HostError> {
        Self::load_one(path, None)
    }

    /// The listening plugin of a bundle.
    ///
    /// # Errors
    /// As [`ClapRig::load`].
    pub fn load_listening(path: &Path) -> Result<Self, HostError> {
        Self::load_one(path, Some(LISTENING))
    }

    /// The plugin with this id.
    ///
    /// # Errors
    /// As [`ClapRig::load`].
    pub fn load_by_id(path: &Path, id: &CStr) -> Result<Self, HostError> {
        Self::load_one(path, Some(id))
    }

    fn load_one(path: &Path, id: Option<&CStr>) -> Result<Self, HostError> {
        // SAFETY: the bundle is built from this workspace.
        let entry = unsafe { PluginEntry::load(path) }
            .map_err(|error| HostError::new(&path.display().to_string(), error))?;
        let rig = Self::new(&entry, id)?;
        // The bundle stays loaded: threads that ran its code, such as each test's own, call back into it when
        // they end.
        std::mem::forget(entry);
        Ok(rig)
    }

    /// The plugin with this id, or else the first.
    fn new(entry: &PluginEntry, id: Option<&CStr>) -> Result<Self, HostError> {
        let missing = || HostError::new("entry", "no plugin in it");
        let factory = entry.get_plugin_factory().ok_or_else(missing)?;
        let first = || factory.plugin_descriptors().next().and_then(|d| d.id());
        let id = id.or_else(first).ok_or_else(missing)?;
        let info = HostInfo::new("Rig", "", "", env!("CARGO_PKG_VERSION"))
            .map_err(|error| HostError::new("host information", error))?;
        let instance = PluginInstance::<Handlers>::new(
            |_| Requests::default(),
            |_| MainSide,
            entry,
            id,
            &info,
        )
        .map_err(|error| HostError::new("instance", error))?;
        let mut rig = Self { main: ClapMain { instance, gui_open: false }, audio: None };
        rig.service();
        Ok(rig)
    }

    /// Prepares a block, so that [`ClapAudio::run`] does not allocate.
    #[must_use]
    pub fn prepare(&self, block: &Block) -> Prepared {
        Prepared::new(block)
    }

    /// The audio thread's part, to be moved to a thread.
    ///
    /// # Panics
    /// If the plugin is not active.
    pub fn audio_thread(&mut self) -> &mut ClapAudio {
        self.audio.as_mut().expect("the plugin is active")
    }

    /// Processes a block for which the host has no output buffers.
    ///
    /// # Panics
    /// If the plugin is not active.
    pub fn process_without_buffers(&mut self, block: &Block) {
        let audio = self.audio.as_mut().expect("the plugin is active");
        audio.run_without_buffers(&Prepared::new(block));
        self.service();
    }

    /// Processes a block on a thread that is new to the plugin.
    ///
    /// # Panics
    /// If the plugin is not active.
    pub fn process_on_new_thread(&mut self, block: &Block) -> Heard {
        let audio = self.audio.as_mut().expect("the plugin is active");
        let heard = std::thread::scope(|scope| {
            scope.spawn(move || audio.process(block)).join().expect("the audio thread lives")
        });
        self.service();
        heard
    }

    /// The main thread's part.
    pub fn main(&mut self) -> &mut ClapMain {
        &mut self.main
    }

    /// Processes `blocks` on an audio thread while `work` runs on this one, as in a real host
    /// whose user saves, loads or opens the editor during playback. The audio thread does not
    /// wait between blocks.
    ///
    /// # Panics
    /// If the plugin is not active.
    pub fn alongside<R>(
        &mut self,
        blocks: &[Block],
        work: impl FnOnce(&mut ClapMain) -> R,
    ) -> (R, Vec<Heard>) {
        let audio = self.audio.as_mut().expect("the plugin is active");
        let main = &mut self.main;
        let both = std::thread::scope(|scope| {
            let rolling =
                scope.spawn(move || blocks.iter().map(|block| audio.process(block)).collect());
            let result = work(main);
            (result, rolling.join().expect("the audio thread lives"))
        });
        self.service();
        both
    }

    /// Resets an active plugin, as hosts do before a new pass.
    pub fn reset(&mut self) {
        if let Some(audio) = &mut self.audio {
            audio.processor.reset();
        }
    }
}

impl Host for ClapRig {
    fn parameters(&mut self) -> Vec<Parameter> {
        self.main.parameters()
    }

    fn set_parameter(&mut self, id: u32, value: f64) {
        let Some(params) = self.main.extension::<PluginParams>() else { return };
        let change = [clap_events::param_event(0, id, value)];
        let change = InputEvents::from_buffer(&change);
        let mut sent = OutputEvents::void();
        if let Some(audio) = &mut self.audio {
            params.flush_active(&mut audio.processor.plugin_handle(), &change, &mut sent);
        } else if let Some(mut handle) = self.main.instance.inactive_plugin_handle() {
            params.flush(&mut handle, &change, &mut sent);
        }
        self.service();
    }

    fn activate(&mut self, sample_rate: f64, max_frames: usize) -> Result<(), HostError> {
        self.deactivate();
        let max_frames_count = u32::try_from(max_frames)
            .map_err(|error| HostError::new("the longest block", error))?
            .max(1);
        let setup = PluginAudioConfiguration { sample_rate, min_frames_count: 1, max_frames_count };
        let stopped = self
            .main
            .instance
            .activate(|_, _| (), setup)
            .map_err(|error| HostError::new("activate", error))?;
        match stopped.start_processing() {
            Ok(processor) => {
                self.audio = Some(ClapAudio { processor, outbox: Outbox::new(), steady: 0 })
            }
            Err(error) => {
                let why = error.to_string();
                self.main.instance.deactivate(error.into_stopped_processor());
                return Err(HostError::new("start processing", why));
            }
        }
        self.service();
        Ok(())
    }

    fn deactivate(&mut self) {
        if let Some(audio) = self.audio.take() {
            self.main.instance.deactivate(audio.processor.stop_processing());
            self.service();
        }
    }

    fn is_active(&self) -> bool {
        self.audio.is_some()
    }

    fn process(&mut self, block: &Block) -> Heard {
        let heard = self.audio.as_mut().expect("the plugin is active").process(block);
        self.service();
        heard
    }

    /// Always: values that CLAP rounds or wraps are nonsense anyway.
    fn can_represent(&self, _block: &Block) -> bool {
        true
    }

    fn save_state(&mut self) -> Vec<u8> {
        self.main.save_state()
    }

    fn load_state(&mut self, state: &[u8]) -> bool {
        let loaded = self.main.load_state(state);
        self.service();
        loaded
    }

    fn service(&mut self) {
        self.main.service();
    }
}

impl Drop for ClapRig {
    fn drop(&mut self) {
        use super::GuiHost;
        self.close_gui();
        self.deactivate();
    }
}
