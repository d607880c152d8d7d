//! skeleton
pub mod panel;
use nice_plug::prelude::*;
use std::sync::Arc;
#[derive(Default)]
pub struct Overbar { params: Arc<P> }
#[derive(Params, Default)]
struct P {}
impl Plugin for Overbar {
    const NAME: &'static str = "Overbar";
    const VENDOR: &'static str = "Overbar";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = env!("CARGO_PKG_VERSION");
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = &[AudioIOLayout { main_output_channels: NonZeroU32::new(2), ..AudioIOLayout::const_default() }];
    const MIDI_INPUT: MidiConfig = MidiConfig::Basic;
    const MIDI_OUTPUT: MidiConfig = MidiConfig::Basic;
    type SysExMessage = ();
    type Editor = ();
    type BackgroundTask = ();
    fn params(&self) -> Arc<dyn Params> { self.params.clone() }
    fn process(&mut self, _b: &mut Buffer, _a: &mut AuxiliaryBuffers, _c: &mut impl ProcessContext<Self>) -> ProcessStatus { ProcessStatus::Normal }
}
impl ClapPlugin for Overbar {
    const CLAP_ID: &'static str = "org.overbar.monitor";
    const CLAP_DESCRIPTION: Option<&'static str> = None;
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = &[ClapFeature::Instrument];
}
impl Vst3Plugin for Overbar {
    const VST3_CLASS_ID: [u8; 16] = *b"OverbarPhraseMon";
    const VST3_SUBCATEGORIES: &'static [Vst3SubCategory] = &[Vst3SubCategory::Instrument];
}
nice_export_clap!(Overbar);
nice_export_vst3!(Overbar);
