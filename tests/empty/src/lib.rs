//! Plugins of the same framework that do nothing: what Overbar's cost is measured against.

use nice_plug::prelude::*;
use std::sync::Arc;

#[derive(Default)]
struct Empty {
    params: Arc<NoParams>,
}

#[derive(Default, Params)]
struct NoParams {}

impl Plugin for Empty {
    const NAME: &'static str = "Empty";
    const VENDOR: &'static str = "Overbar";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = "0";
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = &[AudioIOLayout {
        main_output_channels: NonZeroU32::new(2),
        ..AudioIOLayout::const_default()
    }];
    const MIDI_INPUT: MidiConfig = MidiConfig::Basic;
    const MIDI_OUTPUT: MidiConfig = MidiConfig::Basic;
    type SysExMessage = ();
    type BackgroundTask = ();
    type Editor = ();

    fn params(&self) -> Arc<dyn Params> {
        self.params.clone()
    }

    fn process(
        &mut self,
        buffer: &mut Buffer,
        _: &mut AuxiliaryBuffers,
        context: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        // It passes its events on and zeroes its output, as any plugin of this kind has to.
        while let Some(event) = context.next_event() {
            if context.try_send_event(event).is_err() {
                break;
            }
        }
        for channel in buffer.as_slice() {
            channel.fill(0.0);
        }
        ProcessStatus::KeepAlive
    }
}

impl ClapPlugin for Empty {
    const CLAP_ID: &'static str = "org.overbar.empty";
    const CLAP_DESCRIPTION: Option<&'static str> = None;
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = &[ClapFeature::Instrument];
}

/// The same for sound: it comes out as it came in.
#[derive(Default)]
struct EmptyEffect {
    params: Arc<NoParams>,
}

impl Plugin for EmptyEffect {
    const NAME: &'static str = "Empty effect";
    const VENDOR: &'static str = "Overbar";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = "0";
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = &[AudioIOLayout {
        main_input_channels: NonZeroU32::new(2),
        main_output_channels: NonZeroU32::new(2),
        ..AudioIOLayout::const_default()
    }];
    const MIDI_OUTPUT: MidiConfig = MidiConfig::Basic;
    type SysExMessage = ();
    type BackgroundTask = ();
    type Editor = ();

    fn params(&self) -> Arc<dyn Params> {
        self.params.clone()
    }

    fn process(
        &mut self,
        _: &mut Buffer,
        _: &mut AuxiliaryBuffers,
        _: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        ProcessStatus::KeepAlive
    }
}

impl ClapPlugin for EmptyEffect {
    const CLAP_ID: &'static str = "org.overbar.empty-effect";
    const CLAP_DESCRIPTION: Option<&'static str> = None;
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = &[ClapFeature::AudioEffect];
}

nice_export_clap!(Empty, EmptyEffect);
