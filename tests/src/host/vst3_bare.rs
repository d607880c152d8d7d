//! The linked plugin behind bare VST3 calls, for input that the crate behind [`super::Vst3Rig`] never sends:
//! a missing or nonsensical context, events in any order and of any key, no output buffers, a state read on
//! another thread.

use super::event::{Block, HostEvent, HostTransport};
use super::vst3_events::{Given, Sent};
use super::{GARBAGE, HostError};
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::AudioBusBuffers__type0 as Channels;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::ProcessContext_::StatesAndFlags_ as flags;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    AudioBusBuffers, IAudioProcessor, IAudioProcessorTrait as _, IComponent, IComponentTrait as _,
    IEventList, ProcessContext, ProcessData, ProcessSetup,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    IBStream, IBStreamTrait, IPluginBaseTrait as _, IPluginFactory, IPluginFactoryTrait as _,
    kInvalidArgument, kResultOk, tresult,
};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComWrapper, Interface as _};
use std::ffi::c_void;
use std::sync::Mutex;

/// The outputs of a call of `process`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outputs {
    /// The plugin's stereo bus.
    Stereo,
    /// The bus without channels.
    NoChannels,
    /// No bus at all.
    None,
}

/// The linked plugin, active for as long as it lives.
pub struct BareVst3 {
    component: ComPtr<IComponent>,
    processor: ComPtr<IAudioProcessor>,
}

// SAFETY: VST3 lets the calls made here come from any thread.
unsafe impl Send for BareVst3 {}
// SAFETY: the plugin keeps state and processing apart by itself. The test must send blocks from one thread at
// a time.
unsafe impl Sync for BareVst3 {}

impl BareVst3 {
    /// An active instance.
    ///
    /// # Errors
    /// If the plugin refuses.
    pub fn new(rate: f64, longest: usize) -> Result<Self, HostError> {
        let none = || HostError::new("VST3", "the plugin has no such interface");
        // SAFETY: the factory is the framework's, and every pointer handed over outlives its call.
        unsafe {
            let factory = ComPtr::from_raw(overbar::GetPluginFactory().cast::<IPluginFactory>());
            let factory = factory.ok_or_else(none)?;
            let mut class = std::mem::zeroed();
            accepted("class", factory.getClassInfo(0, &mut class))?;
            let mut component: *mut IComponent = std::ptr::null_mut();
            let made = factory.createInstance(
                class.cid.as_ptr(),
                IComponent::IID.as_ptr().cast(),
                (&raw mut component).cast(),
            );
            accepted("instance", made)?;
            let component = ComPtr::from_raw(component).ok_or_else(none)?;
            let processor = component.cast::<IAudioProcessor>().ok_or_else(none)?;
            accepted("initialize", component.initialize(std::ptr::null_mut()))?;
            let mut setup = ProcessSetup {
                processMode: 0,
                symbolicSampleSize: 0,
                maxSamplesPerBlock: longest as i32,
                sampleRate: rate,
            };
            accepted("set-up", processor.setupProcessing(&mut setup))?;
            accepted("activate", component.setActive(1))?;
            accepted("processing", processor.setProcessing(1))?;
            Ok(Self { component, processor })
        }
    }

    /// Processes one block; returns the samples of both channels, with unwritten ones as [`GARBAGE`].
    ///
    /// # Panics
    /// If the plugin reports failure, or the block has an event without a VST3 form.
    pub fn process(&self, block: &Block, outputs: Outputs) -> Vec<f32> {
        self.process_with_events(block, outputs).0
    }

    /// The same, with the plugin's output notes.
    ///
    /// # Panics
    /// As [`BareVst3::process`].
    pub fn process_with_events(
        &self,
        block: &Block,
        outputs: Outputs,
    ) -> (Vec<f32>, Vec<HostEvent>) {
        let mut samples = vec![GARBAGE; 2 * block.frames];
        let (left, right) = samples.split_at_mut(block.frames);
        let mut channels = [left.as_mut_ptr(), right.as_mut_ptr()];
        let mut bus = AudioBusBuffers {
            numChannels: if outputs == Outputs::Stereo { 2 } else { 0 },
            silenceFlags: 0,
            __field0: Channels { channelBuffers32: channels.as_mut_ptr() },
        };
        let events = ComWrapper::new(Given::new(&block.events));
        let events = events.to_com_ptr::<IEventList>().expect("a list of events");
        let sent = ComWrapper::new(Sent::new());
        let sent_to = sent.to_com_ptr::<IEventList>().expect("a list of events");
        let mut context = block.transport.as_ref().map(context);
        let has_bus = outputs != Outputs::None;
        let mut data = ProcessData {
            processMode: 0,
            symbolicSampleSize: 0,
            numSamples: block.frames as i32,
            numInputs: 0,
            numOutputs: has_bus.into(),
            inputs: std::ptr::null_mut(),
            outputs: if has_bus { &raw mut bus } else { std::ptr::null_mut() },
            inputParameterChanges: std::ptr::null_mut(),
            outputParameterChanges: std::ptr::null_mut(),
            inputEvents: events.as_ptr(),
            outputEvents: sent_to.as_ptr(),
            processContext: context.as_mut().map_or(std::ptr::null_mut(), std::ptr::from_mut),
        };
        // SAFETY: everything that `data` points to outlives the call.
        let status = unsafe { self.processor.process(&mut data) };
        assert_eq!(status, kResultOk, "the plugin processes {outputs:?}");
        (samples, sent.read())
    }

    /// The plugin's state.
    ///
    /// # Panics
    /// If the plugin does not give it.
    pub fn save_state(&self) -> Vec<u8> {
        let stream = ComWrapper::new(Stream::default());
        let pointer = stream.to_com_ptr::<IBStream>().expect("a stream");
        // SAFETY: the stream outlives the call.
        let status = unsafe { self.component.getState(pointer.as_ptr()) };
        assert_eq!(status, kResultOk, "the plugin saves its state");
        std::mem::take(&mut stream.0.lock().expect("no writer panics").bytes)
    }

    /// Restores a state; `false` if the plugin refuses it.
    ///
    /// # Panics
    /// If no stream can be made.
    pub fn load_state(&self, state: &[u8]) -> bool {
        let memory = Memory { bytes: state.to_vec(), at: 0 };
        let stream = ComWrapper::new(Stream(Mutex::new(memory)));
        let pointer = stream.to_com_ptr::<IBStream>().expect("a stream");
        // SAFETY: the stream outlives the call.
        unsafe { self.component.setState(pointer.as_ptr()) == kResultOk }
    }
}

impl Drop for BareVst3 {
    fn drop(&mut self) {
        // SAFETY: the calls undo `new`. Nothing can be done about one that fails.
        unsafe {
            self.processor.setProcessing(0);
            self.component.setActive(0);
            self.component.terminate();
        }
    }
}

fn accepted(what: &str, status: tresult) -> Result<(), HostError> {
    (status == kResultOk).then_some(()).ok_or_else(|| HostError::new(what, "refused"))
}

fn context(transport: &HostTransport) -> ProcessContext {
    // SAFETY: the struct is numbers only.
    let mut context: ProcessContext = unsafe { std::mem::zeroed() };
    let mut set = |on: bool, flag: u32| {
        if on {
            context.state |= flag;
        }
    };
    set(transport.playing, flags::kPlaying);
    set(transport.recording, flags::kRecording);
    set(transport.beats.is_some(), flags::kProjectTimeMusicValid);
    set(transport.tempo.is_some(), flags::kTempoValid);
    set(transport.signature.is_some(), flags::kTimeSigValid);
    set(transport.cycle.is_some(), flags::kCycleActive | flags::kCycleValid);
    set(transport.bar_start.is_some(), flags::kBarPositionValid);
    context.sampleRate = 48_000.0;
    context.projectTimeMusic = transport.beats.unwrap_or_default();
    context.barPositionMusic = transport.bar_start.unwrap_or_default();
    (context.cycleStartMusic, context.cycleEndMusic) = transport.cycle.unwrap_or_default();
    context.tempo = transport.tempo.unwrap_or_default();
    (context.timeSigNumerator, context.timeSigDenominator) =
        transport.signature.unwrap_or_default();
    // Saturates: a NaN is sample 0.
    context.projectTimeSamples = (transport.seconds.unwrap_or_default() * 48_000.0) as i64;
    context
}

#[derive(Default)]
struct Memory {
    bytes: Vec<u8>,
    at: usize,
}

#[derive(Default)]
struct Stream(Mutex<Memory>);

impl Class for Stream {
    type Interfaces = (IBStream,);
}

impl IBStreamTrait for Stream {
    unsafe fn read(&self, buffer: *mut c_void, length: i32, read: *mut i32) -> tresult {
        let mut memory = self.0.lock().expect("no reader panics");
        let rest = memory.bytes.get(memory.at..).unwrap_or_default();
        let length = rest.len().min(usize::try_from(length).unwrap_or_default());
        // SAFETY: the plugin's buffer has room for `length` bytes.
        unsafe {
            std::ptr::copy_nonoverlapping(rest.as_ptr(), buffer.cast(), length);
            if let Some(read) = read.as_mut() {
                *read = length as i32;
            }
        }
        memory.at += length;
        kResultOk
    }

    unsafe fn write(&self, buffer: *mut c_void, length: i32, written: *mut i32) -> tresult {
        let count = usize::try_from(length).unwrap_or_default();
        // SAFETY: the plugin passes `length` bytes.
        unsafe {
            let bytes = std::slice::from_raw_parts(buffer.cast::<u8>(), count);
            self.0.lock().expect("no writer panics").bytes.extend_from_slice(bytes);
            if let Some(written) = written.as_mut() {
                *written = length;
            }
        }
        kResultOk
    }

    unsafe fn seek(&self, to: i64, mode: i32, result: *mut i64) -> tresult {
        let mut memory = self.0.lock().expect("no reader panics");
        let base = [0, memory.at, memory.bytes.len()];
        let Some(base) = usize::try_from(mode).ok().and_then(|mode| base.get(mode)) else {
            return kInvalidArgument;
        };
        memory.at = (*base as i64).saturating_add(to).clamp(0, memory.bytes.len() as i64) as usize;
        // SAFETY: the plugin passes null or a valid pointer.
        if let Some(result) = unsafe { result.as_mut() } {
            *result = memory.at as i64;
        }
        kResultOk
    }

    unsafe fn tell(&self, at: *mut i64) -> tresult {
        let memory = self.0.lock().expect("no reader panics");
        // SAFETY: the plugin passes a valid pointer.
        unsafe { at.write(memory.at as i64) };
        kResultOk
    }
}
