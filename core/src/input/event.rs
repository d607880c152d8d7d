//! What goes into the analyser, in order of time.

use crate::time::transport::TransportPoint;
use crate::time::{Beat, Second};

const MIDDLE_C: u8 = 60;

/// One thing that a host or a file says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Event {
    /// The transport, at a block's start.
    Transport(TransportPoint),
    /// A note begins.
    On(NoteOn),
    /// A note ends.
    Off(NoteOff),
}

/// A note-on as it came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoteOn {
    /// When.
    pub at: Second,
    /// Where, as stamped at capture; `None` without a beat grid.
    pub beat: Option<Beat>,
    /// Key from 0 to 127, 60 is middle C; `None` where the host sent a wildcard.
    pub key: Option<u8>,
    /// Channel from 0 to 15; `None` where the host sent a wildcard.
    pub channel: Option<u8>,
    /// From 0 to 1.
    pub velocity: f32,
}

impl NoteOn {
    /// Its channel and key; channel 1 and middle C are noted for a wildcard.
    #[must_use]
    pub fn channel_and_key(&self) -> (u8, u8) {
        (self.channel.unwrap_or(0).min(15), self.key.unwrap_or(MIDDLE_C).min(127))
    }
}

/// A note-off or a choke as it came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoteOff {
    /// When.
    pub at: Second,
    /// Where, as stamped at capture; `None` without a beat grid.
    pub beat: Option<Beat>,
    /// Key from 0 to 127; `None` means every key.
    pub key: Option<u8>,
    /// Channel from 0 to 15; `None` means every channel.
    pub channel: Option<u8>,
}

impl Event {
    /// When it happened.
    #[must_use]
    pub fn at(&self) -> Second {
        match self {
            Self::Transport(point) => point.at,
            Self::On(on) => on.at,
            Self::Off(off) => off.at,
        }
    }
}
