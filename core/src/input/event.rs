//! Input events, in order of time.

use crate::time::transport::TransportPoint;
use crate::time::{Beat, Second};

const MIDDLE_C: u8 = 60;

/// An event from a host or a file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Event {
    /// The transport at the start of a block.
    Transport(TransportPoint),
    /// A note-on.
    On(NoteOn),
    /// A note-off or choke.
    Off(NoteOff),
    /// A sounding note turned out to have another key than at its attack.
    Renamed(Renamed),
    /// The soloist came in: what was heard before was the band alone.
    SoloistEntered(SoloistEntered),
    /// A tap of the beat, at this moment.
    Tap(Second),
}

/// When the soloist came in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoloistEntered {
    /// When this became known.
    pub at: Second,
    /// The soloist's first onset.
    pub entry: Second,
}

/// Gives a sounding note another key. Its note-off keeps the key of its note-on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Renamed {
    /// When this became known.
    pub at: Second,
    /// Channel and key of its note-on.
    pub pitch: (u8, u8),
    /// Its key from now on.
    pub key: u8,
}

/// A note-on as received.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoteOn {
    /// When.
    pub at: Second,
    /// Song position as stamped at capture; `None` without a beat grid.
    pub beat: Option<Beat>,
    /// Key from 0 to 127, 60 is middle C; `None` where the host sent a wildcard.
    pub key: Option<u8>,
    /// Channel from 0 to 15; `None` where the host sent a wildcard.
    pub channel: Option<u8>,
    /// From 0 to 1.
    pub velocity: f32,
}

impl NoteOn {
    /// Channel and key; a wildcard becomes channel 1 or middle C.
    pub fn channel_and_key(&self) -> (u8, u8) {
        (self.channel.unwrap_or(0).min(15), self.key.unwrap_or(MIDDLE_C).min(127))
    }
}

/// A note-off or a choke as received.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoteOff {
    /// When.
    pub at: Second,
    /// Song position as stamped at capture; `None` without a beat grid.
    pub beat: Option<Beat>,
    /// Key from 0 to 127; `None` means every key.
    pub key: Option<u8>,
    /// Channel from 0 to 15; `None` means every channel.
    pub channel: Option<u8>,
}

impl Event {
    /// When it happened.
    pub fn at(&self) -> Second {
        match self {
            Self::Transport(point) => point.at,
            Self::On(on) => on.at,
            Self::Off(off) => off.at,
            Self::Renamed(renamed) => renamed.at,
            Self::SoloistEntered(entered) => entered.at,
            Self::Tap(at) => *at,
        }
    }
}
