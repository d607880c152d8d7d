//! What a host tells a plugin in one block.

/// The transport as a host may show it. Every field may be missing, and none is checked.
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
    /// The transport rolls.
    pub playing: bool,
    /// The host records.
    pub recording: bool,
    /// The host counts in.
    pub preroll: bool,
    /// The loop's start and end in quarter notes, where one is on.
    pub cycle: Option<(f64, f64)>,
    /// Where the bar begins, in quarter notes. CLAP has no way to leave it out: `None` is 0.
    pub bar_start: Option<f64>,
    /// The bar's number from 0. CLAP has no way to leave it out: `None` is 0.
    pub bar_number: Option<i32>,
}

/// What an event says. A key or channel of −1 means every one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EventKind {
    /// A note begins. In CLAP one of velocity 0 is a note all the same.
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
    /// What it says.
    pub kind: EventKind,
}

/// One call of `process`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Block {
    /// Length in samples.
    pub frames: usize,
    /// The transport at the block's start, or none at all.
    pub transport: Option<HostTransport>,
    /// Events, handed over in this order.
    pub events: Vec<HostEvent>,
    /// The sound that comes in, by channel, as long as the block; none for a plugin without an input.
    pub sound: Vec<Vec<f32>>,
}

impl Block {
    /// A block in which nothing happens, from a host that shows no transport.
    #[must_use]
    pub fn empty(frames: usize) -> Self {
        Self { frames, ..Self::default() }
    }

    /// Adds an event, after those there are.
    #[must_use]
    pub fn with(mut self, offset: u32, kind: EventKind) -> Self {
        self.events.push(HostEvent { offset, kind });
        self
    }
}
