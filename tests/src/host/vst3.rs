//! A VST3 host around one instance.
//!
//! # Limitations
//! The host crate keeps the process context private. Its setters cover position, tempo, time signature and
//! the playing flag, each always valid; recording, pre-roll, the loop and the bar cannot be set, and neither
//! a field nor the whole context can be left out. [`Host::can_represent`] is `false` for a block that needs
//! more. If such a block is processed anyway, missing or refused values stay as in the block before, a block
//! without transport reports a stopped one, and events without a VST3 form are dropped.
//!
//! The crate zeroes its own buffers before each call and copies them out after it, so [`Heard::unwritten`]
//! counts samples only after a failed call; whether the plugin writes its buffers must be tested in CLAP. It
//! splits a block that is longer than announced.

use super::event::{Block, EventKind, HostEvent, HostTransport};
use super::{Heard, Host, HostError, Parameter, Status};
use clack_host::entry::LibraryEntry;
use std::path::Path;
use vst3_host::discovery::get_vst3_binary_path;
use vst3_host::{
    AudioBuffers, MidiChannel, MidiEvent, Plugin, PluginEvent, PluginEventData, TransportPosition,
    Vst3Host,
};

/// The listening plugin's class.
const LISTENING: &[u8; 16] = b"OverbarListenEar";

/// A VST3 plugin in a host; see the module for its limitations.
pub struct Vst3Rig {
    pub(super) plugin: Plugin,
}

impl Vst3Rig {
    /// The first plugin of a bundle.
    ///
    /// # Errors
    /// If the bundle cannot be loaded or its plugin not instantiated.
    pub fn load(path: &Path) -> Result<Self, HostError> {
        Self::load_by(path, |host| host.load_plugin(path))
    }

    /// The listening plugin of a bundle.
    ///
    /// # Errors
    /// As [`Vst3Rig::load`].
    pub fn load_listening(path: &Path) -> Result<Self, HostError> {
        let id: String = LISTENING.iter().map(|byte| format!("{byte:02X}")).collect();
        Self::load_by(path, |host| host.load_plugin_class(path, &id))
    }

    fn load_by(
        path: &Path,
        load: impl FnOnce(&mut Vst3Host) -> vst3_host::Result<Plugin>,
    ) -> Result<Self, HostError> {
        let failed = |error| HostError::new(&path.display().to_string(), error);
        let mut host = Vst3Host::builder().build().map_err(failed)?;
        keep_loaded(&get_vst3_binary_path(path).map_err(failed)?)?;
        Ok(Self { plugin: load(&mut host).map_err(failed)? })
    }

    fn show(&mut self, transport: Option<&HostTransport>) -> vst3_host::Result<()> {
        let Some(transport) = transport else { return self.plugin.set_playing(false) };
        self.plugin.set_playing(transport.playing)?;
        // The setters refuse what `can_represent` does, and refused values stay as they were.
        if let Some(tempo) = transport.tempo.filter(|tempo| is_tempo(*tempo)) {
            self.plugin.set_tempo(tempo)?;
        }
        if let Some(signature) = transport.signature.filter(|signature| is_signature(*signature)) {
            self.plugin.set_time_signature(signature.0, signature.1)?;
        }
        if let Some(quarter_notes) = transport.beats.filter(|beats| beats.is_finite()) {
            let samples = transport.seconds.unwrap_or_default() * self.plugin.sample_rate();
            let samples = samples.round() as i64;
            self.plugin.set_transport_position(TransportPosition { samples, quarter_notes })?;
        }
        Ok(())
    }

    fn send(&mut self, event: &HostEvent) -> vst3_host::Result<()> {
        let sample_offset = i32::try_from(event.offset).unwrap_or(i32::MAX);
        let note =
            |data| PluginEvent { bus_index: 0, sample_offset, ppq_position: 0.0, flags: 0, data };
        match event.kind {
            EventKind::NoteOn { key: pitch, channel, velocity } => {
                let (velocity, tuning) = (velocity as f32, 0.0);
                self.plugin.send_plugin_event(note(PluginEventData::NoteOn {
                    channel,
                    pitch,
                    tuning,
                    velocity,
                    length: 0,
                    note_id: -1,
                }))
            }
            EventKind::NoteOff { key: pitch, channel, velocity } => {
                let (velocity, tuning) = (velocity as f32, 0.0);
                self.plugin.send_plugin_event(note(PluginEventData::NoteOff {
                    channel,
                    pitch,
                    velocity,
                    note_id: -1,
                    tuning,
                }))
            }
            EventKind::RawMidi(bytes) => match midi(bytes) {
                Some(event) => self.plugin.send_midi_event_at(event, sample_offset),
                None => Ok(()),
            },
            EventKind::Param { id, value } => {
                self.plugin.set_parameter_at(id, value, sample_offset)
            }
            EventKind::Choke { .. } | EventKind::Transport(_) => Ok(()),
        }
    }
}

impl Host for Vst3Rig {
    fn parameters(&mut self) -> Vec<Parameter> {
        let all = self.plugin.get_parameters().unwrap_or_default();
        all.into_iter()
            .map(|parameter| Parameter {
                text: self
                    .plugin
                    .format_parameter(parameter.id, parameter.value)
                    .unwrap_or_default(),
                id: parameter.id,
                name: parameter.name,
                min: parameter.min,
                max: parameter.max,
                default: parameter.default,
                value: parameter.value,
            })
            .collect()
    }

    /// # Panics
    /// If `value` is not from 0 to 1.
    fn set_parameter(&mut self, id: u32, value: f64) {
        self.plugin.set_parameter(id, value).expect("a normalised value");
        if self.is_active() {
            // The processor of an active plugin learns it from a block, even an empty one.
            let mut nothing = AudioBuffers::new(0, 2, 0, self.plugin.sample_rate());
            self.plugin.process_audio(&mut nothing).expect("the plugin takes a parameter flush");
        }
    }

    fn activate(&mut self, sample_rate: f64, max_frames: usize) -> Result<(), HostError> {
        self.deactivate();
        self.plugin
            .reconfigure(sample_rate, max_frames.max(1))
            .and_then(|()| self.plugin.start_processing())
            .map_err(|error| HostError::new("activate", error))
    }

    fn deactivate(&mut self) {
        if self.plugin.is_processing() {
            // Nothing can be done about a plugin that refuses to stop.
            drop(self.plugin.stop_processing());
        }
    }

    fn is_active(&self) -> bool {
        self.plugin.is_processing()
    }

    fn process(&mut self, block: &Block) -> Heard {
        assert!(self.is_active(), "the plugin is active");
        self.show(block.transport.as_ref()).expect("a transport the setters take");
        for event in block.events.iter().filter(|event| has_form(event.kind)) {
            self.send(event).expect("an event the crate takes");
        }
        let mut heard = Heard::before(block.frames);
        let mut buffers = AudioBuffers::new(0, 0, block.frames, self.plugin.sample_rate());
        buffers.inputs.clone_from(&block.sound);
        buffers.outputs = vec![std::mem::take(&mut heard.left), std::mem::take(&mut heard.right)];
        if self.plugin.process_audio(&mut buffers).is_ok() {
            heard.status = Status::Continue;
        }
        heard.right = buffers.outputs.pop().unwrap_or_default();
        heard.left = buffers.outputs.pop().unwrap_or_default();
        for event in self.plugin.take_output_events() {
            match read(&event) {
                Some(event) => heard.events.push(event),
                None => heard.other_events += 1,
            }
        }
        self.service();
        heard
    }

    /// Position, tempo, signature and the playing flag, all present and finite; notes, MIDI
    /// messages that have a VST3 form, and normalised parameter values.
    fn can_represent(&self, block: &Block) -> bool {
        let transport = block.transport.as_ref().is_some_and(|t| {
            t.beats.is_some_and(f64::is_finite)
                && t.seconds.is_some_and(f64::is_finite)
                && t.tempo.is_some_and(is_tempo)
                && t.signature.is_some_and(is_signature)
                && !t.recording
                && !t.preroll
                && t.cycle.is_none()
        });
        transport && block.events.iter().all(|event| has_form(event.kind))
    }

    fn save_state(&mut self) -> Vec<u8> {
        self.plugin.save_state().expect("the plugin saves its state")
    }

    /// When saving, the crate wraps the plugin's bytes in its own envelope; bytes without one go to the
    /// plugin unchanged. It deactivates the plugin around the call.
    fn load_state(&mut self, state: &[u8]) -> bool {
        self.plugin.load_state(state).is_ok()
    }

    fn service(&mut self) {
        self.plugin.service_run_loop();
    }
}

/// Keeps a module loaded to the end: threads that ran its code, such as each test's own, call back into it
/// when they end. The host crate unloads it with the last instance, so the CLAP entry of the same binary is
/// opened too and never closed.
fn keep_loaded(binary: &Path) -> Result<(), HostError> {
    // SAFETY: the bundle is built from this workspace.
    let library = unsafe { LibraryEntry::load_from_path(binary) }
        .map_err(|error| HostError::new(&binary.display().to_string(), error))?;
    std::mem::forget(library);
    Ok(())
}

fn is_tempo(tempo: f64) -> bool {
    tempo.is_finite() && tempo > 0.0
}

fn is_signature((upper, lower): (i32, i32)) -> bool {
    upper > 0 && matches!(lower, 1 | 2 | 4 | 8 | 16)
}

/// Whether VST3 has a form for an event: it has no wildcards, no choke and no transport inside a block, and
/// parameter values only from 0 to 1.
fn has_form(kind: EventKind) -> bool {
    match kind {
        EventKind::NoteOn { key, channel, .. } | EventKind::NoteOff { key, channel, .. } => {
            (0..128).contains(&key) && (0..16).contains(&channel)
        }
        EventKind::RawMidi(bytes) => midi(bytes).is_some(),
        EventKind::Param { value, .. } => (0.0..=1.0).contains(&value),
        EventKind::Choke { .. } | EventKind::Transport(_) => false,
    }
}

/// A MIDI message as VST3 hosts pass it on. A note-on with velocity 0 becomes a note-off; controllers,
/// pressure and bend become the parameters that the plugin maps them to.
fn midi([status, first, second]: [u8; 3]) -> Option<MidiEvent> {
    let channel = MidiChannel::from_index(status & 0x0f)?;
    let (first, second) = (first & 0x7f, second & 0x7f);
    Some(match status & 0xf0 {
        0x80 => MidiEvent::NoteOff { channel, note: first, velocity: second },
        0x90 => MidiEvent::NoteOn { channel, note: first, velocity: second },
        0xa0 => MidiEvent::PolyAftertouch { channel, note: first, pressure: second },
        0xb0 => MidiEvent::ControlChange { channel, controller: first, value: second },
        0xc0 => MidiEvent::ProgramChange { channel, program: first },
        0xd0 => MidiEvent::ChannelAftertouch { channel, pressure: first },
        0xe0 => {
            let value = u16::from(second) << 7 | u16::from(first);
            MidiEvent::PitchBend { channel, value }
        }
        _ => return None,
    })
}

fn read(event: &PluginEvent) -> Option<HostEvent> {
    let kind = match event.data {
        PluginEventData::NoteOn { channel, pitch: key, velocity, .. } => {
            EventKind::NoteOn { key, channel, velocity: velocity.into() }
        }
        PluginEventData::NoteOff { channel, pitch: key, velocity, .. } => {
            EventKind::NoteOff { key, channel, velocity: velocity.into() }
        }
        _ => return None,
    };
    Some(HostEvent { offset: u32::try_from(event.sample_offset).unwrap_or_default(), kind })
}
