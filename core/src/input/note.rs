//! Notes, and counts of MIDI glitches.

use crate::time::Moment;
use serde::{Deserialize, Serialize};

/// One note as it was played.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Note {
    /// Its attack.
    pub on: Moment,
    /// Its end; `None` while it sounds, and for good where the end was never sent.
    pub off: Option<Moment>,
    /// Key from 0 to 127; 60 is middle C.
    pub key: u8,
    /// Channel from 0 to 15.
    pub channel: u8,
    /// From 0 to 1.
    pub velocity: f32,
}

/// How often each kind of MIDI glitch occurred. None of them loses a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Oddities {
    /// Note-ons for a key that still sounded: the older note ends there.
    pub repeated_on: u32,
    /// Note-offs for a key that did not sound.
    pub stray_off: u32,
    /// Notes cut off because the transport stopped.
    pub cut_at_stop: u32,
    /// Notes cut off because the transport jumped or looped.
    pub cut_at_jump: u32,
    /// Notes without a note-off until the performance ended.
    pub never_ended: u32,
    /// Notes that ended when they began.
    pub no_length: u32,
    /// Note-ons of velocity 0 for a sounding key, treated as note-offs.
    pub velocity_zero_off: u32,
    /// Note-ons with a wildcard key or channel, treated as middle C or channel 1.
    pub wildcard_on: u32,
    /// Note-offs with a wildcard: every matching note ends.
    pub wildcard_off: u32,
    /// Events with an earlier time than the one before.
    pub out_of_order: u32,
}

impl Oddities {
    /// Every kind in words with its count.
    pub fn named(&self) -> [(&'static str, u32); 10] {
        [
            ("key struck again while it sounded", self.repeated_on),
            ("note-off without a note", self.stray_off),
            ("note cut off by a stop", self.cut_at_stop),
            ("note cut off by a jump", self.cut_at_jump),
            ("note whose end never came", self.never_ended),
            ("note without length", self.no_length),
            ("note-on of velocity 0 as note-off", self.velocity_zero_off),
            ("note-on with a wildcard", self.wildcard_on),
            ("note-off with a wildcard", self.wildcard_off),
            ("event out of order", self.out_of_order),
        ]
    }

    /// The sum of all counts.
    pub fn total(&self) -> u32 {
        self.named().iter().fold(0, |sum, (_, count)| sum.saturating_add(*count))
    }

    /// The counts of both.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        Self {
            repeated_on: self.repeated_on.saturating_add(other.repeated_on),
            stray_off: self.stray_off.saturating_add(other.stray_off),
            cut_at_stop: self.cut_at_stop.saturating_add(other.cut_at_stop),
            cut_at_jump: self.cut_at_jump.saturating_add(other.cut_at_jump),
            never_ended: self.never_ended.saturating_add(other.never_ended),
            no_length: self.no_length.saturating_add(other.no_length),
            velocity_zero_off: self.velocity_zero_off.saturating_add(other.velocity_zero_off),
            wildcard_on: self.wildcard_on.saturating_add(other.wildcard_on),
            wildcard_off: self.wildcard_off.saturating_add(other.wildcard_off),
            out_of_order: self.out_of_order.saturating_add(other.out_of_order),
        }
    }
}
