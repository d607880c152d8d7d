//! The listening plugin as the framework sees it.

use crate::audio::ListeningAudio;
use crate::host::editor::PanelEditor;
use crate::host::instance::Instance;
use crate::host::parameters::ParameterAccess;
use crate::host::params::ListenParams;
use crate::host::state::{self, Saved};
use crate::runtime::guard::guard;
use crate::worker::shared::Shared;
use nice_plug::prelude::*;
use std::sync::Arc;

/// The phrase monitor for soloists without MIDI: an effect that transcribes the sound of its track and passes
/// it through unchanged. It adds only the click and Hear playback.
pub struct OverbarListen {
    instance: Instance,
    params: Arc<ListenParams>,
    audio: ListeningAudio,
}

impl Default for OverbarListen {
    fn default() -> Self {
        let (instance, capture, hear) = Instance::new(true);
        let params = ListenParams::new(Saved::new(instance.shared().clone()));
        Self { params: Arc::new(params), audio: ListeningAudio::new(capture, hear), instance }
    }
}

impl OverbarListen {
    /// The state shared by its threads, for our own test hosts.
    pub fn shared(&self) -> &Arc<Shared> {
        self.instance.shared()
    }
}

/// The same number of channels in and out.
const fn through(channels: u32) -> AudioIOLayout {
    AudioIOLayout {
        main_input_channels: NonZeroU32::new(channels),
        main_output_channels: NonZeroU32::new(channels),
        ..AudioIOLayout::const_default()
    }
}

impl Plugin for OverbarListen {
    const NAME: &'static str = "Overbar Listen";
    const VENDOR: &'static str = "Overbar";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = env!("CARGO_PKG_VERSION");

    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = &[through(2), through(1)];
    const MIDI_OUTPUT: MidiConfig = MidiConfig::Basic;

    type SysExMessage = ();
    type BackgroundTask = ();
    type Editor = PanelEditor;

    fn params(&self) -> Arc<dyn Params> {
        self.params.clone()
    }

    fn filter_state(state: &mut PluginState) {
        state::make_readable(&mut state.fields);
    }

    fn editor(&mut self, _: AsyncExecutor<Self>) -> Option<PanelEditor> {
        let parameters = ParameterAccess::listening(self.params.clone());
        Some(PanelEditor::new(self.instance.shared().clone(), parameters))
    }

    fn activate(
        &mut self,
        _: &AudioIOLayout,
        config: &BufferConfig,
        _: &mut impl ActivateContext<Self>,
    ) -> bool {
        self.audio.activate(config);
        let params = self.params.clone();
        self.instance.start(move || params.values());
        true
    }

    fn process(
        &mut self,
        buffer: &mut Buffer,
        _: &mut AuxiliaryBuffers,
        context: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        let common = &self.params.common;
        let (clicks, midi_out) = (common.clicks(), self.params.midi_out.value());
        let asked = (clicks.as_ref(), midi_out, common.taps());
        match guard(|| self.audio.block(buffer, context, asked, || common.hear())) {
            // Hosts put effects to sleep in silence, but a rest is silence too, and time goes on in it.
            Some(()) => ProcessStatus::KeepAlive,
            None => ProcessStatus::Error("capture failed"),
        }
    }

    fn reset(&mut self) {
        self.audio.reset();
    }

    fn deactivate(&mut self) {
        self.audio.reset();
    }
}

impl ClapPlugin for OverbarListen {
    const CLAP_ID: &'static str = "org.overbar.listen";
    const CLAP_DESCRIPTION: Option<&'static str> = Some(
        "Hears where in the bar an improvised solo's phrases start and end, from the sound of a horn, a guitar or a voice",
    );
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] =
        &[ClapFeature::AudioEffect, ClapFeature::Analyzer, ClapFeature::Stereo, ClapFeature::Mono];
}

impl Vst3Plugin for OverbarListen {
    const VST3_CLASS_ID: [u8; 16] = *b"OverbarListenEar";
    const VST3_SUBCATEGORIES: &'static [Vst3SubCategory] =
        &[Vst3SubCategory::Fx, Vst3SubCategory::Analyzer];
}
