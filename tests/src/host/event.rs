//! The input of a plugin in one block.

/// The transport as a host may report it. Every field may be missing, and none is validated.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct HostTransport {
    /// Position in quarter notes.
    pub beats: Option<f64>,
    /// Position in seconds.
    pub seconds: Option<f64>,
    /// Quarter notes a minute.
    pub tempo: Option<f64>,
    /// Upper and lower figure.
    pub signature: Option<(i32, i32)>,
    /// The transport is playing.
    pub playing: bool,
    /// The host records.
    pub recording: bool,
    /// The host counts in.
    pub preroll: bool,
    /// The loop's start and end in quarter notes, if it is on.
    pub cycle: Option<(f64, f64)>,
    /// The start of the bar, in quarter notes. Required in CLAP: `None` is 0.
    pub bar_start: Option<f64>,
    /// The bar's number from 0. Required in CLAP: `None` is 0.
    pub bar_number: Option<i32>,
}

/// The content of an event. A key or channel of −1 means all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EventKind {
    /// A note begins. In CLAP, velocity 0 is still a note-on.
    NoteOn {
        /// MIDI key, or −1.
        key: i16,
        /// MIDI channel from 0, or −1.
        channel: i16,
        /// Velocity, 0 to 1.
        velocity: f64,
    },
    /// A note ends.
    NoteOff {
        /// MIDI key, or −1.
        key: i16,
        /// MIDI channel from 0, or −1.
        channel: i16,
        /// Release velocity, 0 to 1.
        velocity: f64,
    },
    /// A note is cut off. CLAP only.
    Choke {
        /// MIDI key, or −1.
        key: i16,
        /// MIDI channel from 0, or −1.
        channel: i16,
    },
    /// A MIDI message.
    RawMidi([u8; 3]),
    /// The transport changes inside the block. CLAP only.
    Transport(HostTransport),
    /// A parameter changes.
    Param {
        /// Its number.
        id: u32,
        /// Its value, in the format's own unit.
        value: f64,
    },
}

/// An event at a sample of a block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HostEvent {
    /// Samples from the block's start. Not checked against the block's length.
    pub offset: u32,
    /// Its content.
    pub kind: EventKind,
}

/// One call of `process`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Block {
    /// Length in samples.
    pub frames: usize,
    /// The transport at the block's start, or none at all.
    pub transport: Option<HostTransport>,
    /// Events, in this order.
    pub events: Vec<HostEvent>,
    /// The audio input, by channel, as long as the block; empty for a plugin without an input.
    pub sound: Vec<Vec<f32>>,
}

impl Block {
    /// A block without events, from a host that reports no transport.
    #[must_use]
    pub fn empty(frames: usize) -> Self {
        Self { frames, ..Self::default() }
    }

    /// Appends an event.
    #[must_use]
    pub fn with(mut self, offset: u32, kind: EventKind) -> Self {
        self.events.push(HostEvent { offset, kind });
        self
    }
}
