//! The note that sounds.

use super::note::HeardNote;
use super::player::Timbre;
use super::situation::Situation;
use super::whole_pitch::WholePitch;

/// The current note, as far as it is known.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sounding {
    pub note: HeardNote,
    /// The hop of its onset.
    pub at: u64,
    /// What the player did before.
    pub situation: Situation,
    /// Its pitch as a key at 440 Hz.
    pub key: f32,
    pub stands: bool,
    /// Its pitches after the attack.
    pub whole: WholePitch,
    /// The level that its decay is measured from, in dB.
    pub level: f32,
    /// How it began.
    pub timbre: Timbre,
}
