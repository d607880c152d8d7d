//! Event lists for bare VST3 calls.

use super::event::{EventKind, HostEvent};
use nice_plug::wrapper::vst3::vst3::Class;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::Event_::EventTypes_::{
    kNoteOffEvent, kNoteOnEvent,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    Event, IEventList, IEventListTrait, NoteOffEvent, NoteOnEvent,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    kInvalidArgument, kNotImplemented, kResultOk, tresult,
};
use std::sync::Mutex;

fn event(event: &HostEvent) -> Event {
    // SAFETY: the struct is numbers only; the fields of its type are filled in below.
    let mut vst3: Event = unsafe { std::mem::zeroed() };
    // An offset beyond 31 bits becomes negative, as from a miscounting host.
    vst3.sampleOffset = event.offset as i32;
    match event.kind {
        EventKind::NoteOn { key: pitch, channel, velocity } => {
            vst3.r#type = kNoteOnEvent as u16;
            let velocity = velocity as f32;
            vst3.__field0.noteOn =
                NoteOnEvent { channel, pitch, velocity, tuning: 0.0, length: 0, noteId: -1 };
        }
        EventKind::NoteOff { key: pitch, channel, velocity } => {
            vst3.r#type = kNoteOffEvent as u16;
            let velocity = velocity as f32;
            vst3.__field0.noteOff =
                NoteOffEvent { channel, pitch, velocity, tuning: 0.0, noteId: -1 };
        }
        other => panic!("VST3 has no form for {other:?}"),
    }
    vst3
}

/// The plugin's input events.
pub struct Given(Vec<Event>);

impl Given {
    pub fn new(events: &[HostEvent]) -> Self {
        Self(events.iter().map(event).collect())
    }
}

impl Class for Given {
    type Interfaces = (IEventList,);
}

impl IEventListTrait for Given {
    unsafe fn getEventCount(&self) -> i32 {
        self.0.len() as i32
    }

    unsafe fn getEvent(&self, index: i32, event: *mut Event) -> tresult {
        match usize::try_from(index).ok().and_then(|index| self.0.get(index)) {
            Some(found) => {
                // SAFETY: the plugin passes a valid pointer.
                unsafe { event.write(*found) };
                kResultOk
            }
            None => kInvalidArgument,
        }
    }

    unsafe fn addEvent(&self, _event: *mut Event) -> tresult {
        kNotImplemented
    }
}

/// Output events per block.
const ROOM: usize = 4_096;

/// The plugin's output events. It never grows: the plugin adds from inside `process`, where an allocation by
/// the host would count as the plugin's own.
pub struct Sent(Mutex<Vec<Event>>);

impl Sent {
    pub fn new() -> Self {
        Self(Mutex::new(Vec::with_capacity(ROOM)))
    }

    /// The notes among the events.
    pub fn read(&self) -> Vec<HostEvent> {
        self.0.lock().expect("no writer panics").iter().filter_map(read).collect()
    }
}

impl Class for Sent {
    type Interfaces = (IEventList,);
}

impl IEventListTrait for Sent {
    unsafe fn getEventCount(&self) -> i32 {
        0
    }

    unsafe fn getEvent(&self, _index: i32, _event: *mut Event) -> tresult {
        kInvalidArgument
    }

    unsafe fn addEvent(&self, event: *mut Event) -> tresult {
        let mut sent = self.0.lock().expect("no reader panics");
        if sent.len() == ROOM {
            return kInvalidArgument;
        }
        // SAFETY: the plugin passes a valid event.
        sent.push(unsafe { event.read() });
        kResultOk
    }
}

fn read(event: &Event) -> Option<HostEvent> {
    let kind = if event.r#type == kNoteOnEvent as u16 {
        // SAFETY: the type selects this field.
        let NoteOnEvent { channel, pitch: key, velocity, .. } = unsafe { event.__field0.noteOn };
        EventKind::NoteOn { key, channel, velocity: velocity.into() }
    } else if event.r#type == kNoteOffEvent as u16 {
        // SAFETY: as above.
        let NoteOffEvent { channel, pitch: key, velocity, .. } = unsafe { event.__field0.noteOff };
        EventKind::NoteOff { key, channel, velocity: velocity.into() }
    } else {
        return None;
    };
    Some(HostEvent { offset: u32::try_from(event.sampleOffset).unwrap_or_default(), kind })
}
