//! Conversion between the harness's events and CLAP's.

use super::event::{EventKind, HostEvent, HostTransport};
use clack_host::events::event_types::{
    MidiEvent, NoteChokeEvent, NoteOffEvent, NoteOnEvent, ParamValueEvent, TransportEvent,
    TransportFlags,
};
use clack_host::events::io::{OutputEventBuffer, TryPushError};
use clack_host::events::spaces::CoreEventSpace;
use clack_host::events::{EventFlags, EventHeader};
use clack_host::prelude::*;
use clack_host::utils::{BeatTime, SecondsTime};

/// Output events per block; the host refuses more, like a full queue.
const ROOM: usize = 4_096;

/// The plugin's output events. It never allocates after construction: the plugin pushes from inside
/// `process`, where an allocation by the host would count as the plugin's own.
pub struct Outbox(EventBuffer);

impl Outbox {
    pub fn new() -> Self {
        Self(EventBuffer::with_capacity(ROOM))
    }

    pub fn clear(&mut self) {
        self.0.clear();
    }

    /// The events that the harness has names for, and the number of others.
    pub fn read(&self) -> (Vec<HostEvent>, usize) {
        let events: Vec<HostEvent> = self.0.iter().filter_map(read).collect();
        let others = self.0.len() as usize - events.len();
        (events, others)
    }
}

impl OutputEventBuffer for Outbox {
    fn try_push(&mut self, event: &UnknownEvent) -> Result<(), TryPushError> {
        if self.0.len() as usize >= ROOM {
            return Err(TryPushError::new());
        }
        self.0.push(event);
        Ok(())
    }
}

/// Appends an event unchanged: in this order, at this offset, valid or not.
pub fn push(buffer: &mut EventBuffer, event: &HostEvent) {
    let time = event.offset;
    match event.kind {
        EventKind::NoteOn { key, channel, velocity } => {
            buffer.push(&NoteOnEvent::new(time, note(key, channel), velocity));
        }
        EventKind::NoteOff { key, channel, velocity } => {
            buffer.push(&NoteOffEvent::new(time, note(key, channel), velocity));
        }
        EventKind::Choke { key, channel } => {
            buffer.push(&NoteChokeEvent::new(time, note(key, channel)));
        }
        EventKind::RawMidi(bytes) => buffer.push(&MidiEvent::new(time, 0, bytes)),
        EventKind::Transport(transport) => buffer.push(&transport_event(time, &transport)),
        EventKind::Param { id, value } => buffer.push(&param_event(time, id, value)),
    }
}

/// A parameter change.
///
/// # Panics
/// If `id` is the one number that CLAP forbids.
pub fn param_event(time: u32, id: u32, value: f64) -> ParamValueEvent {
    ParamValueEvent::new(time, ClapId::new(id), Pckn::match_all(), value)
}

fn note(key: i16, channel: i16) -> Pckn {
    Pckn::from_raw(0, channel, key, -1)
}

/// The transport in CLAP's format. Positions are fixed-point there: NaN becomes 0 and infinity the largest
/// number. Figures of the signature keep their low 16 bits.
pub fn transport_event(time: u32, transport: &HostTransport) -> TransportEvent {
    let mut flags = TransportFlags::empty();
    flags.set(TransportFlags::HAS_TEMPO, transport.tempo.is_some());
    flags.set(TransportFlags::HAS_BEATS_TIMELINE, transport.beats.is_some());
    flags.set(TransportFlags::HAS_SECONDS_TIMELINE, transport.seconds.is_some());
    flags.set(TransportFlags::HAS_TIME_SIGNATURE, transport.signature.is_some());
    flags.set(TransportFlags::IS_PLAYING, transport.playing);
    flags.set(TransportFlags::IS_RECORDING, transport.recording);
    flags.set(TransportFlags::IS_LOOP_ACTIVE, transport.cycle.is_some());
    flags.set(TransportFlags::IS_WITHIN_PRE_ROLL, transport.preroll);
    let (loop_start, loop_end) = transport.cycle.unwrap_or_default();
    let (upper, lower) = transport.signature.unwrap_or_default();
    TransportEvent {
        header: EventHeader::new_core(time, EventFlags::empty()),
        flags,
        song_pos_beats: BeatTime::from_float(transport.beats.unwrap_or_default()),
        song_pos_seconds: SecondsTime::from_float(transport.seconds.unwrap_or_default()),
        tempo: transport.tempo.unwrap_or_default(),
        tempo_inc: 0.0,
        loop_start_beats: BeatTime::from_float(loop_start),
        loop_end_beats: BeatTime::from_float(loop_end),
        // Hosts that count in beats leave these unset.
        loop_start_seconds: SecondsTime::default(),
        loop_end_seconds: SecondsTime::default(),
        bar_start: BeatTime::from_float(transport.bar_start.unwrap_or_default()),
        bar_number: transport.bar_number.unwrap_or_default(),
        time_signature_numerator: upper as u16,
        time_signature_denominator: lower as u16,
    }
}

/// An output event, if the harness has a name for its kind.
fn read(event: &UnknownEvent) -> Option<HostEvent> {
    let kind = match event.as_core_event()? {
        CoreEventSpace::NoteOn(event) => {
            let (key, channel) = (event.pckn().raw_key(), event.pckn().raw_channel());
            EventKind::NoteOn { key, channel, velocity: event.velocity() }
        }
        CoreEventSpace::NoteOff(event) => {
            let (key, channel) = (event.pckn().raw_key(), event.pckn().raw_channel());
            EventKind::NoteOff { key, channel, velocity: event.velocity() }
        }
        CoreEventSpace::NoteChoke(event) => {
            let (key, channel) = (event.pckn().raw_key(), event.pckn().raw_channel());
            EventKind::Choke { key, channel }
        }
        CoreEventSpace::Midi(event) => EventKind::RawMidi(event.data()),
        CoreEventSpace::ParamValue(event) => {
            EventKind::Param { id: event.param_id()?.get(), value: event.value() }
        }
        _ => return None,
    };
    Some(HostEvent { offset: event.header().time(), kind })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pushed_events_are_read_back_in_order() {
        let kinds = [
            EventKind::NoteOn { key: 60, channel: 3, velocity: 0.25 },
            EventKind::NoteOff { key: -1, channel: -1, velocity: 0.5 },
            EventKind::Choke { key: 61, channel: 15 },
            EventKind::RawMidi([0x90, 60, 0]),
            EventKind::Param { id: 7, value: 2.0 },
        ];
        let offsets = [9, 3, 3, 70_000, 0].into_iter();
        let events: Vec<HostEvent> =
            offsets.zip(kinds).map(|(offset, kind)| HostEvent { offset, kind }).collect();
        let mut buffer = EventBuffer::new();
        events.iter().for_each(|event| push(&mut buffer, event));
        assert_eq!(buffer.iter().filter_map(read).collect::<Vec<_>>(), events);
    }

    #[test]
    fn a_transport_shows_only_what_it_has() {
        let nothing = transport_event(0, &HostTransport::default());
        assert_eq!(nothing.flags, TransportFlags::empty());
        let all = HostTransport {
            beats: Some(-2.5),
            seconds: Some(-1.25),
            tempo: Some(120.0),
            signature: Some((7, 8)),
            playing: true,
            recording: true,
            preroll: true,
            cycle: Some((4.0, 8.0)),
            bar_start: Some(-3.5),
            bar_number: Some(-1),
        };
        let event = transport_event(5, &all);
        assert_eq!(event.flags, TransportFlags::all());
        assert_eq!((event.header.time(), event.song_pos_beats.to_float()), (5, -2.5));
        assert_eq!(
            (event.loop_start_beats.to_float(), event.loop_end_beats.to_float()),
            (4.0, 8.0)
        );
        assert_eq!((event.bar_start.to_float(), event.bar_number), (-3.5, -1));
        assert_eq!((event.time_signature_numerator, event.time_signature_denominator), (7, 8));
    }
}
