//! The MIDI plugin as the framework sees it.

use crate::audio::Audio;
use crate::host::editor::PanelEditor;
use crate::host::instance::Instance;
use crate::host::parameters::ParameterAccess;
use crate::host::params::OverbarParams;
use crate::host::state::{self, Saved};
use crate::runtime::guard::guard;
use crate::worker::shared::Shared;
use nice_plug::prelude::*;
use std::sync::Arc;

/// The phrase monitor: analyses the MIDI of its track and passes it through. It is silent but for the click
/// and Hear playback.
pub struct Overbar {
    instance: Instance,
    params: Arc<OverbarParams>,
    audio: Audio,
}

impl Default for Overbar {
    fn default() -> Self {
        let (instance, capture, hear) = Instance::new(false);
        let params = OverbarParams::new(Saved::new(instance.shared().clone()));
        Self { params: Arc::new(params), audio: Audio::new(capture, hear), instance }
    }
}

impl Overbar {
    /// The state shared by its threads, for our own test hosts.
    pub fn shared(&self) -> &Arc<Shared> {
        self.instance.shared()
    }
}

impl Plugin for Overbar {
    const NAME: &'static str = "Overbar";
    const VENDOR: &'static str = "Overbar";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = env!("CARGO_PKG_VERSION");

    // Some hosts crash on a VST3 without an audio output, so there is one, silent but for the click and Hear
    // playback.
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = &[AudioIOLayout {
        main_output_channels: NonZeroU32::new(2),
        ..AudioIOLayout::const_default()
    }];
    const MIDI_INPUT: MidiConfig = MidiConfig::Basic;
    const MIDI_OUTPUT: MidiConfig = MidiConfig::Basic;
    const INPUT_EVENT_CAPACITY: usize = 8_192;

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
        let parameters = ParameterAccess::new(self.params.clone());
        Some(PanelEditor::new(self.instance.shared().clone(), parameters))
    }

    fn activate(
        &mut self,
        _: &AudioIOLayout,
        config: &BufferConfig,
        _: &mut impl ActivateContext<Self>,
    ) -> bool {
        self.audio.activate(f64::from(config.sample_rate));
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
        // After a panic the rest of the block's events are lost; the next block starts afresh.
        let clicks = self.params.clicks();
        let (params, asked) = (&self.params, (clicks.as_ref(), self.params.taps()));
        match guard(|| self.audio.block(buffer, context, asked, || params.hear())) {
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

impl ClapPlugin for Overbar {
    const CLAP_ID: &'static str = "org.overbar.phrase-monitor";
    const CLAP_DESCRIPTION: Option<&'static str> = Some(
        "Shows where in the bar an improvised solo's phrases start and end, live, with advice after the take",
    );
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = &[
        ClapFeature::Instrument,
        ClapFeature::NoteEffect,
        ClapFeature::Analyzer,
        ClapFeature::Stereo,
    ];
}

impl Vst3Plugin for Overbar {
    const VST3_CLASS_ID: [u8; 16] = *b"OverbarPhraseMon";
    const VST3_SUBCATEGORIES: &'static [Vst3SubCategory] =
        &[Vst3SubCategory::Instrument, Vst3SubCategory::Tools];
}
