//! The pitch over some hops.

use super::history::History;

/// The least clarity of a pitch.
pub(super) const CLEAR: f32 = 0.5;

/// The least distance between the pitches of different notes, in semitones.
pub(super) const APART: f32 = 0.6;

/// The pitch over some hops.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plateau {
    /// The median, as a MIDI key.
    pub key: f32,
    /// The mean clarity of all hops.
    pub clarity: f32,
    /// The share of hops near the median.
    pub agree: f32,
    /// The range of those.
    pub spread: f32,
}

/// The most hops in a plateau.
const MAX_HOPS: usize = 16;

impl Plateau {
    /// The pitch from one hop to another; `None` if fewer than 40 % of them are near the median.
    pub(super) fn of(history: &History, from: u64, to: u64) -> Option<Self> {
        let mut keys = [0.0; MAX_HOPS];
        let mut count = 0;
        let (mut hops, mut clarity) = (0.0, 0.0);
        for at in from..=to {
            let (key, clear) = history.key(at);
            hops += 1.0;
            clarity += clear;
            if clear >= CLEAR
                && let Some(kept) = keys.get_mut(count)
            {
                *kept = key;
                count += 1;
            }
        }
        let keys = keys.get_mut(..count)?;
        let key = super::median(keys)?;
        let near = || keys.iter().filter(|other| (*other - key).abs() < 0.5);
        let agree = super::real(near().count()) / hops;
        let low = near().copied().fold(f32::MAX, f32::min);
        let high = near().copied().fold(f32::MIN, f32::max);
        (agree >= 0.4).then_some(Self { key, clarity: clarity / hops, agree, spread: high - low })
    }
}
