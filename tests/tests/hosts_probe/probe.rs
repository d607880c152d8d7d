//! A plugin that writes down what it is shown and passes its events on. It zeroes the right
//! channel and leaves the left one alone.

use nice_plug::prelude::{
    AudioIOLayout, AuxiliaryBuffers, Buffer, ClapFeature, ClapPlugin, MidiConfig, NonZeroU32,
    Params, Plugin, ProcessContext, ProcessStatus, util,
};
use nice_plug::wrapper::clap::{
    CLAP_PLUGIN_FACTORY_ID, CLAP_VERSION, PluginDescriptor, Wrapper, clap_host, clap_plugin,
    clap_plugin_descriptor, clap_plugin_entry, clap_plugin_factory,
};
use overbar_tests::host::GARBAGE;
use std::cell::RefCell;
use std::ffi::{CStr, c_char, c_void};
use std::sync::{Arc, OnceLock};

/// One call of `process`.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    pub frames: usize,
    /// Samples of the left channel that came as the rig fills them.
    pub garbage: usize,
    pub events: usize,
    /// How many of them could not be passed on.
    pub refused: usize,
    pub playing: bool,
    pub recording: bool,
    pub preroll: Option<bool>,
    pub beats: Option<f64>,
    pub seconds: Option<f64>,
    pub tempo: Option<f64>,
    pub signature: Option<(i32, i32)>,
    pub cycle: Option<(f64, f64)>,
    pub bar_start: Option<f64>,
    pub bar_number: Option<i32>,
}

thread_local! {
    static SEEN: RefCell<Vec<Seen>> = const { RefCell::new(Vec::new()) };
}

/// What was seen on this thread since last asked.
pub fn take_seen() -> Vec<Seen> {
    SEEN.take()
}

#[derive(Default)]
struct Probe {
    params: Arc<NoParams>,
}

#[derive(Params, Default)]
struct NoParams {}

impl Plugin for Probe {
    const NAME: &'static str = "Probe";
    const VENDOR: &'static str = "";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = "1.0.0";
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = &[AudioIOLayout {
        main_output_channels: NonZeroU32::new(2),
        ..AudioIOLayout::const_default()
    }];
    const MIDI_INPUT: MidiConfig = MidiConfig::Basic;
    const MIDI_OUTPUT: MidiConfig = MidiConfig::Basic;
    type SysExMessage = ();
    type Editor = ();
    type BackgroundTask = ();

    fn params(&self) -> Arc<dyn Params> {
        self.params.clone()
    }

    fn process(
        &mut self,
        buffer: &mut Buffer,
        _auxiliary: &mut AuxiliaryBuffers,
        context: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        let (mut events, mut refused) = (0, 0);
        while let Some(event) = context.next_event() {
            events += 1;
            refused += usize::from(context.try_send_event(event).is_err());
        }
        let garbage = |sample: &&f32| sample.to_bits() == GARBAGE.to_bits();
        let channels = buffer.as_slice();
        let garbage = channels[0].iter().filter(garbage).count();
        channels[1].fill(0.0);
        let transport = context.transport();
        let upper = transport.time_sig_numerator;
        let seen = Seen {
            frames: channels[0].len(),
            garbage,
            events,
            refused,
            playing: transport.playing,
            recording: transport.recording,
            preroll: transport.preroll_active,
            beats: transport.pos_beats,
            seconds: transport.pos_seconds,
            tempo: transport.tempo,
            signature: upper.zip(transport.time_sig_denominator),
            cycle: transport.loop_range_beats,
            bar_start: transport.bar_start_pos_beats,
            bar_number: transport.bar_number,
        };
        util::permit_alloc(|| SEEN.with_borrow_mut(|all| all.push(seen)));
        ProcessStatus::Normal
    }
}

impl ClapPlugin for Probe {
    const CLAP_ID: &'static str = "test.probe";
    const CLAP_DESCRIPTION: Option<&'static str> = None;
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = &[ClapFeature::Instrument];
}

/// The probe's entry. The framework's macro would export it under a name that the linked
/// plugin has already taken.
pub static ENTRY: clap_plugin_entry = clap_plugin_entry {
    clap_version: CLAP_VERSION,
    init: Some(init),
    deinit: Some(deinit),
    get_factory: Some(get_factory),
};

static FACTORY: clap_plugin_factory = clap_plugin_factory {
    get_plugin_count: Some(count),
    get_plugin_descriptor: Some(descriptor),
    create_plugin: Some(create),
};

static DESCRIPTOR: OnceLock<PluginDescriptor> = OnceLock::new();

unsafe extern "C" fn init(_path: *const c_char) -> bool {
    true
}

unsafe extern "C" fn deinit() {}

unsafe extern "C" fn get_factory(id: *const c_char) -> *const c_void {
    // SAFETY: the host asks with a string.
    let known = unsafe { CStr::from_ptr(id) } == CLAP_PLUGIN_FACTORY_ID;
    if known { (&raw const FACTORY).cast() } else { std::ptr::null() }
}

unsafe extern "C" fn count(_factory: *const clap_plugin_factory) -> u32 {
    1
}

unsafe extern "C" fn descriptor(
    _factory: *const clap_plugin_factory,
    _index: u32,
) -> *const clap_plugin_descriptor {
    DESCRIPTOR.get_or_init(PluginDescriptor::for_plugin::<Probe>).clap_plugin_descriptor()
}

unsafe extern "C" fn create(
    _factory: *const clap_plugin_factory,
    host: *const clap_host,
    _id: *const c_char,
) -> *const clap_plugin {
    // SAFETY: the host is the rig's own; the wrapper takes the reference back when destroyed.
    unsafe { (*Arc::into_raw(Wrapper::<Probe>::new(host))).clap_plugin.as_ptr() }
}
