//! What is told of a note.

use crate::time::Second;

/// A note as heard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeardNote {
    /// Counts notes from 0.
    pub number: u32,
    /// Its attack, in seconds from the first sample.
    pub onset: Second,
    /// Its end; `None` while it sounds.
    pub end: Option<Second>,
    /// The nearest MIDI key at the player's tuning; 60 is middle C.
    pub key: u8,
    /// How far from that key it is, in cents, from −50 to 50.
    pub cents: f32,
    /// The loudest of its first 60 ms, in dB of full scale (a square wave's power is 0 dB).
    pub level: f32,
    /// From 0 to 1; the player's usual level is [`HeardNote::USUAL`].
    pub velocity: f32,
    /// How likely a note begins there, from 0 to 1.
    pub confidence: f32,
}

impl HeardNote {
    /// Velocity of the player's usual level, and how many dB are the whole range of it. Origin: common
    /// practice, no source.
    pub const USUAL: f32 = 0.63;
    pub(super) const RANGE: f32 = 40.0;
}

/// What becomes of a note, in this order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoteEvent {
    /// It has begun. Pitch and level may be revised.
    Began(HeardNote),
    /// It is told anew.
    Revised(HeardNote),
    /// It stands from now on: 60 ms after its onset, or at its end where that comes sooner.
    Stands(HeardNote),
    /// It is over; [`HeardNote::end`] is set, and the key is that of its whole length, which may be another.
    Ended(HeardNote),
}
