//! The plugin as the framework sees it.

use crate::audio::Audio;
use crate::audio::capture::Capture;
use crate::audio::hear::HearOutput;
use crate::host::editor::PanelEditor;
use crate::host::params::OverbarParams;
use crate::host::state::{self, Saved};
use crate::runtime::guard::guard;
use crate::worker::Worker;
use crate::worker::shared::Shared;
use nice_plug::prelude::*;
use overbar_library::default_path;
use std::sync::Arc;

/// A phrase monitor: hears the MIDI of its track, passes it on, and sounds nothing itself but what is
/// asked for: a click, and what was played.
pub struct Overbar {
    shared: Arc<Shared>,
    params: Arc<OverbarParams>,
    audio: Audio,
    worker: Option<Worker>,
}

impl Default for Overbar {
    fn default() -> Self {
        let (shared, audio_end) = Shared::new();
        let shared = Arc::new(shared);
        #[cfg(feature = "faults")]
        crate::host::inspect::made(&shared);
        let hear = HearOutput::new(shared.publisher.hear.link().clone());
        Self {
            params: Arc::new(OverbarParams::new(Saved::new(shared.clone()))),
            audio: Audio::new(Capture::new(audio_end), hear),
            worker: None,
            shared,
        }
    }
}

impl Overbar {
    /// What its threads share, for our own test hosts.
    pub fn shared(&self) -> &Arc<Shared> {
        &self.shared
    }

    /// Stores takes on disk from the moment the plugin is in use; a host that only scans it leaves
    /// no file.
    fn start_library(&self) {
        let started = match default_path() {
            Some(path) => self.shared.take_store().start(path).map_err(|error| error.to_string()),
            None => Err("no folder for data found".to_owned()),
        };
        if let Err(why) = started {
            self.shared.panel.notice(format!(
                "No library available ({why}): takes are saved in the project only."
            ));
        }
    }

    fn start_worker(&mut self) {
        if self.worker.as_ref().is_none_or(Worker::is_dead) {
            match Worker::start(self.shared.clone(), {
                let params = self.params.clone();
                move || params.values()
            }) {
                Ok(worker) => self.worker = Some(worker),
                Err(error) => {
                    self.shared.panel.notice(format!("Couldn't start the analysis: {error}."))
                }
            }
        }
    }
}

impl Plugin for Overbar {
    const NAME: &'static str = "Overbar";
    const VENDOR: &'static str = "Overbar";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = env!("CARGO_PKG_VERSION");

    // A plugin without an output crashes hosts in VST3, so there is one, and it is silent
    // but for the click and what is heard.
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
        Some(PanelEditor::new(self.shared.clone(), self.params.clone()))
    }

    fn activate(
        &mut self,
        _: &AudioIOLayout,
        config: &BufferConfig,
        _: &mut impl ActivateContext<Self>,
    ) -> bool {
        self.audio.activate(f64::from(config.sample_rate));
        self.start_library();
        self.start_worker();
        true
    }

    fn process(
        &mut self,
        buffer: &mut Buffer,
        _: &mut AuxiliaryBuffers,
        context: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        // After a panic the block's remaining events are lost; the next block begins afresh.
        let clicks = self.params.clicks();
        let params = &self.params;
        match guard(|| self.audio.block(buffer, context, clicks.as_ref(), || params.hear())) {
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
