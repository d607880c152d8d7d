//! The notes that a tracker reports.

use crate::time::Second;

/// A note found in the sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeardNote {
    /// Its number, from 0.
    pub number: u32,
    /// Its attack, in seconds from the first sample.
    pub onset: Second,
    /// Its end; `None` while it sounds.
    pub end: Option<Second>,
    /// The nearest MIDI key at the player's tuning; 60 is middle C.
    pub key: u8,
    /// Its deviation from that key, in cents, from −50 to 50.
    pub cents: f32,
    /// The maximum level of its first 60 ms, in dBFS (a square wave's power is 0 dB).
    pub level: f32,
    /// From 0 to 1; the player's usual level is [`HeardNote::USUAL`].
    pub velocity: f32,
    /// The probability of an onset there, from 0 to 1.
    pub confidence: f32,
}

impl HeardNote {
    /// The velocity of the player's usual level, and the range of the velocity in dB. Origin: common practice, no
    /// source.
    pub const USUAL: f32 = 0.63;
    pub(super) const RANGE: f32 = 40.0;
}

/// The events of a note, in this order; the last one is of all notes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoteEvent {
    /// It has started. Onset and pitch may be revised.
    Began(HeardNote),
    /// It is revised.
    Revised(HeardNote),
    /// It is final: 60 ms after its onset, or at its end if that is sooner.
    Stands(HeardNote),
    /// It has ended: [`HeardNote::end`] is set, and the key is that of the whole note, which may be a different one.
    Ended(HeardNote),
    /// The soloist came in at this onset: the softer notes before it were those of a band. May come again, later.
    SoloistEntered(Second),
}
