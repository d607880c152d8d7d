//! Hosts in the test's own process that treat a plugin as real hosts do.
//!
//! A [`Player`] turns a [`crate::song::Song`] into [`Block`]s; a [`Host`] passes them to a plugin and returns
//! its output as [`Heard`]. [`ClapRig`] can represent everything in a block; [`Vst3Rig`] cannot, see
//! [`Host::can_represent`], and [`BareVst3`] sends VST3 calls that no such host would.

mod clap;
mod clap_audio;
mod clap_events;
mod clap_handlers;
mod clap_main;
mod event;
mod gui;
mod player;
mod sizes;
#[cfg(feature = "vst3")]
mod vst3;
#[cfg(feature = "vst3")]
mod vst3_bare;
#[cfg(feature = "vst3")]
mod vst3_events;
#[cfg(feature = "vst3")]
mod vst3_gui;

pub use clap::ClapRig;
pub use clap_audio::{ClapAudio, Prepared};
pub use clap_main::ClapMain;
pub use event::{Block, EventKind, HostEvent, HostTransport};
pub use gui::GuiHost;
pub use player::Player;
pub use sizes::ragged;
#[cfg(feature = "vst3")]
pub use vst3::Vst3Rig;
#[cfg(feature = "vst3")]
pub use vst3_bare::{BareVst3, Outputs};

use std::fmt;

/// The contents of output buffers before a call: a NaN that no plugin would write by chance.
pub const GARBAGE: f32 = f32::from_bits(0x7fc5_eed5);

/// The result of a call of `process`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Call again.
    Continue,
    /// Call again unless the output is quiet. CLAP only.
    ContinueIfNotQuiet,
    /// Its tail sounds. CLAP only.
    Tail,
    /// No need to call until something happens. CLAP only.
    Sleep,
    /// It failed.
    Failed,
}

/// A plugin's output for a block.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    /// Left output, [`GARBAGE`] where the plugin wrote nothing.
    pub left: Vec<f32>,
    /// Right output, likewise.
    pub right: Vec<f32>,
    /// Events it sent, in the order it sent them.
    pub events: Vec<HostEvent>,
    /// The number of other events, of kinds that [`EventKind`] does not name.
    pub other_events: usize,
    /// How the call ended.
    pub status: Status,
}

impl Heard {
    fn before(frames: usize) -> Self {
        Self {
            left: vec![GARBAGE; frames],
            right: vec![GARBAGE; frames],
            events: Vec::new(),
            other_events: 0,
            status: Status::Failed,
        }
    }

    /// The number of samples in both channels that the plugin did not write.
    #[must_use]
    pub fn unwritten(&self) -> usize {
        let garbage = |sample: &&f32| sample.to_bits() == GARBAGE.to_bits();
        self.left.iter().chain(&self.right).filter(garbage).count()
    }

    /// Whether every sample of both channels is zero.
    #[must_use]
    pub fn is_silent(&self) -> bool {
        self.left.iter().chain(&self.right).all(|sample| *sample == 0.0)
    }
}

/// A parameter as a host sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter {
    /// Its number; [`parameter_number`] computes it from the id in the source.
    pub id: u32,
    /// Its name as shown.
    pub name: String,
    /// Least value, in the format's own unit.
    pub min: f64,
    /// Greatest value. CLAP counts the steps of a stepped parameter, VST3 always ends at 1.
    pub max: f64,
    /// Default value.
    pub default: f64,
    /// Current value.
    pub value: f64,
    /// Current value as shown.
    pub text: String,
}

impl Parameter {
    /// The value at `fraction` of the range, from 0 to 1, so that a test need not know the format's unit.
    #[must_use]
    pub fn at(&self, fraction: f64) -> f64 {
        self.min + fraction * (self.max - self.min)
    }
}

/// The number that the framework assigns to the parameter with this id in the source: its bytes as digits in
/// base 31, without the top bit, which VST3 reserves for hosts.
#[must_use]
pub fn parameter_number(id: &str) -> u32 {
    id.bytes().fold(0_u32, |sum, byte| sum.wrapping_mul(31).wrapping_add(byte.into())) & 0x7fff_ffff
}

/// An error of a host.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HostError(String);

impl HostError {
    fn new(what: &str, why: impl fmt::Display) -> Self {
        Self(format!("{what}: {why}"))
    }
}

impl fmt::Display for HostError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for HostError {}

/// An instance of a note plugin with one stereo output, in a host of either format.
pub trait Host {
    /// The parameters, in the plugin's order.
    fn parameters(&mut self) -> Vec<Parameter>;

    /// Sets a parameter outside `process`, in the format's own unit.
    fn set_parameter(&mut self, id: u32, value: f64);

    /// Activates the plugin; an active one is deactivated first.
    ///
    /// # Errors
    /// If the plugin refuses.
    fn activate(&mut self, sample_rate: f64, max_frames: usize) -> Result<(), HostError>;

    /// Deactivates the plugin. Does nothing to an inactive one.
    fn deactivate(&mut self);

    /// Whether the plugin is active.
    fn is_active(&self) -> bool;

    /// Processes one block. It may be longer than announced.
    ///
    /// # Panics
    /// If the plugin is not active.
    fn process(&mut self, block: &Block) -> Heard;

    /// Whether the plugin will see everything in `block`; see the implementations.
    fn can_represent(&self, block: &Block) -> bool;

    /// The plugin's state.
    ///
    /// # Panics
    /// If the plugin does not give it.
    fn save_state(&mut self) -> Vec<u8>;

    /// Restores a state; `false` if the plugin refuses it.
    fn load_state(&mut self, state: &[u8]) -> bool;

    /// Does what the plugin has requested of the main thread since the last call.
    fn service(&mut self);

    /// Processes blocks one after another.
    fn play(&mut self, blocks: &mut dyn Iterator<Item = Block>) -> Vec<Heard> {
        blocks.map(|block| self.process(&block)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unwritten_samples_are_detected() {
        let mut heard = Heard::before(3);
        assert_eq!((heard.unwritten(), heard.is_silent()), (6, false));
        heard.left = vec![0.0; 3];
        heard.right[1] = f32::NAN;
        assert_eq!((heard.unwritten(), heard.is_silent()), (2, false));
        heard.right = vec![0.0, -0.0, 0.0];
        assert_eq!((heard.unwritten(), heard.is_silent()), (0, true));
    }

    #[test]
    fn parameter_numbers_match_the_framework() {
        assert_eq!(parameter_number(""), 0);
        assert_eq!(parameter_number("ab"), 97 * 31 + 98);
        // Past 32 bits the sum wraps, and the top bit is dropped.
        assert_eq!(parameter_number("zzzzzzz"), 122_u32.wrapping_mul(917_087_137) & 0x7fff_ffff);
    }
}
