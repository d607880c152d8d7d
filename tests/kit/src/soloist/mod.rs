//! Invented soloists: a line is written first ([`mod@line`]) and played after that ([`play`]), so that
//! what was meant does not come from the timing.
//!
//! Places are in felt beats from the start of bar 1. Times are in milliseconds unless a name says
//! otherwise. The same seed gives the same notes on every machine.

mod figures;
mod glitches;
pub mod line;
mod player;
mod random;
mod timing;

pub use glitches::add_glitches;
pub use player::{Clock, Gate, Manner, RESOLUTION, play};
pub use random::{bell, chance, within};
pub use timing::{CHORUS_BARS, Hand, Intent, Timing};

use line::Written;

/// A bar of felt beats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// How many beats.
    pub beats: u32,
    /// Quarters in a beat: 1.5 in 6/8.
    pub quarters: f64,
    /// A beat divides in three, as in 6/8.
    pub in_three: bool,
}

impl Bar {
    /// 4/4.
    pub const COMMON: Self = Self { beats: 4, quarters: 1.0, in_three: false };
}

/// A note as sounded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sound {
    /// Tick of its note-on.
    pub on: u32,
    /// Tick of its note-off; `None` where it is never sent.
    pub off: Option<u32>,
    /// From 0 to 127.
    pub key: u8,
    /// From 1 to 127.
    pub velocity: u8,
    /// It is accented.
    pub accent: bool,
    /// What it was meant to be; `None` for a glitch.
    pub meant: Option<Written>,
}
