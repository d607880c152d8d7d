//! The audio thread of a CLAP host.

use super::clap_events::{self, Outbox};
use super::clap_handlers::Handlers;
use super::event::Block;
use super::{Heard, Status};
use clack_host::events::event_types::TransportEvent;
use clack_host::prelude::{
    AudioPortBuffer, AudioPortBufferType, AudioPorts, EventBuffer, InputAudioBuffers, InputChannel,
    InputEvents, OutputAudioBuffers, OutputEvents, PluginInstanceError, ProcessStatus,
    StartedPluginAudioProcessor,
};

/// The audio thread's part, whichever thread that is.
pub struct ClapAudio {
    pub(super) processor: StartedPluginAudioProcessor<Handlers>,
    pub(super) outbox: Outbox,
    pub(super) steady: u64,
}

/// A block in CLAP's format, prepared in advance.
pub struct Prepared {
    events: EventBuffer,
    transport: Option<TransportEvent>,
    ports: AudioPorts,
    inputs: AudioPorts,
    sound: Vec<Vec<f32>>,
    frames: usize,
    heard: Heard,
}

impl Prepared {
    pub(super) fn new(block: &Block) -> Self {
        let mut events = EventBuffer::with_capacity(block.events.len());
        block.events.iter().for_each(|event| clap_events::push(&mut events, event));
        Self {
            transport: block.transport.as_ref().map(|t| clap_events::transport_event(0, t)),
            events,
            ports: AudioPorts::with_capacity(2, 1),
            inputs: AudioPorts::with_capacity(2, 1),
            sound: block.sound.clone(),
            frames: block.frames,
            heard: Heard::before(block.frames),
        }
    }
}

impl ClapAudio {
    pub(super) fn process(&mut self, block: &Block) -> Heard {
        let mut prepared = Prepared::new(block);
        self.run(&mut prepared);
        let mut heard = prepared.heard;
        (heard.events, heard.other_events) = self.outbox.read();
        heard
    }

    /// Processes a block, without reading the plugin's output.
    ///
    /// # Realtime safety
    /// Adds no allocation and no system call to the plugin's own.
    pub fn run(&mut self, block: &mut Prepared) {
        let Heard { left, right, .. } = &mut block.heard;
        let channels = [left.as_mut_slice(), right.as_mut_slice()];
        let mut outputs = block.ports.with_output_buffers([AudioPortBuffer {
            latency: 0,
            channels: AudioPortBufferType::f32_output_only(channels.into_iter()),
        }]);
        let (events, transport) = (&block.events, block.transport.as_ref());
        let inputs = if block.sound.is_empty() {
            InputAudioBuffers::empty()
        } else {
            let channels = block.sound.iter_mut().map(InputChannel::variable);
            block.inputs.with_input_buffers([AudioPortBuffer {
                latency: 0,
                channels: AudioPortBufferType::f32_input_only(channels),
            }])
        };
        let status = self.hand_over(&inputs, &mut outputs, events, transport, block.frames);
        block.heard.status = match status {
            Ok(ProcessStatus::Continue) => Status::Continue,
            Ok(ProcessStatus::ContinueIfNotQuiet) => Status::ContinueIfNotQuiet,
            Ok(ProcessStatus::Tail) => Status::Tail,
            Ok(ProcessStatus::Sleep) => Status::Sleep,
            Err(_) => Status::Failed,
        };
    }

    pub(super) fn run_without_buffers(&mut self, block: &Prepared) {
        let frames = u32::try_from(block.frames).unwrap_or(u32::MAX);
        // SAFETY: There is no buffer that could be shorter than the block.
        let inputs = unsafe { InputAudioBuffers::from_raw_buffers(&[], frames) };
        let (events, transport) = (&block.events, block.transport.as_ref());
        let mut outputs = OutputAudioBuffers::empty();
        // The plugin's answer does not matter, only that it survives.
        let _ = self.hand_over(&inputs, &mut outputs, events, transport, block.frames);
    }

    fn hand_over(
        &mut self,
        inputs: &InputAudioBuffers<'_>,
        outputs: &mut OutputAudioBuffers<'_>,
        events: &EventBuffer,
        transport: Option<&TransportEvent>,
        frames: usize,
    ) -> Result<ProcessStatus, PluginInstanceError> {
        self.outbox.clear();
        let status = self.processor.process(
            inputs,
            outputs,
            &InputEvents::from_buffer(events),
            &mut OutputEvents::from_buffer(&mut self.outbox),
            Some(self.steady),
            transport,
        );
        self.steady += frames as u64;
        status
    }
}
