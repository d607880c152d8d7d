//! Where a note may begin, and what speaks for it.
//!
//! A moment is looked at when what follows it is known as well, [`LOOK_AHEAD`] hops later. There are
//! three kinds: something new in the spectrum, a pitch that moves to another, and a pitched sound that
//! has come up unnoticed.

use super::history::History;
use super::player::Player;

/// Hops after which a moment is looked at: 48 ms.
pub(super) const LOOK_AHEAD: u64 = 9;

/// What speaks for a note and against it.
pub const FEATURES: usize = 16;

/// What the player was doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Situation {
    /// No note sounded.
    Rest,
    /// A note of another pitch.
    Moved,
    /// A note of this pitch.
    Same,
}

/// A moment at which a note may begin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// The hop.
    pub at: u64,
    /// What the player was doing.
    pub situation: Situation,
    /// As `FEATURE_NAMES` has them.
    pub features: [f32; FEATURES],
    /// The pitch after it as a key at 440 Hz.
    pub key: f32,
    /// How likely a note begins, from 0 to 1.
    pub likely: f32,
}

/// What is known of the note that sounds.
#[derive(Debug, Clone, Copy)]
pub(super) struct Before {
    /// Its pitch.
    pub key: f32,
}

/// Pitches less clear than this are no pitches.
const CLEAR: f32 = 0.5;

/// Pitches as far apart, in semitones, are different notes.
pub(super) const APART: f32 = 0.6;

/// Hops after an onset in which its pitch is looked for, first and last, and those before.
const AFTER: (u64, u64) = (2, 6);
const BEFORE: (u64, u64) = (6, 2);

/// Novelty under this is none.
const NEW: f32 = 0.004;

/// Hops between looks at a sound that came up unnoticed.
const AGAIN: u64 = 8;

/// The candidate at hop `at`, if any. `last` is when there was one, and `onset` when a note began.
pub(super) fn candidate(
    history: &History,
    player: &Player,
    at: u64,
    sounding: Option<Before>,
    (last, onset): (u64, u64),
) -> Option<Candidate> {
    let after = Plateau::of(history, at + AFTER.0, at + AFTER.1)?;
    let before = Plateau::of(history, at.saturating_sub(BEFORE.0), at.saturating_sub(BEFORE.1));
    let novelty = history.novelty(at);
    let around = at.saturating_sub(3)..=at + 3;
    let is_peak = novelty > NEW && around.clone().all(|near| history.novelty(near) <= novelty);
    // Where the pitch crosses the middle between that before and that after.
    let crosses = before.is_some_and(|before| {
        let middle = (before.key + after.key) / 2.0;
        let side = |at: u64| history.key(at).0 > middle;
        let up = after.key > before.key;
        (before.key - after.key).abs() >= APART && side(at) != up && side(at + 1) == up
    });
    let comes_up = sounding.is_none() && after.agree >= 0.99 && at >= last + AGAIN;
    if !is_peak && !crosses && !comes_up {
        return None;
    }
    let situation = match sounding {
        None => Situation::Rest,
        Some(note) if (note.key - after.key).abs() >= APART => Situation::Moved,
        Some(_) => Situation::Same,
    };
    let from = before.map(|before| before.key).or(sounding.map(|note| note.key));
    let jump = sounding.map(|note| note.key).or(from).map_or(0.0, |key| (key - after.key).abs());
    let loudest =
        |from: u64, to: u64| (from..=to).map(|at| history.level(at)).fold(-120.0, f32::max);
    let softest = |from: u64, to: u64| (from..=to).map(|at| history.level(at)).fold(60.0, f32::min);
    let top = loudest(at, at + 6);
    let earlier = loudest(at.saturating_sub(12), at.saturating_sub(3));
    let past =
        (at.saturating_sub(16)..=at + 4).map(|near| history.novelty(near)).sum::<f32>() / 21.0;
    let octaves = [12.0, 19.0, 24.0];
    let is_octave = octaves.iter().any(|interval: &f32| (interval - jump).abs() < 0.5);
    let since = super::real(usize::try_from(at.saturating_sub(onset).clamp(1, 100)).unwrap_or(100));
    let flag = |is: bool| if is { 1.0 } else { 0.0 };
    let features = [
        (novelty + 0.001).ln(),
        ((novelty + 0.001) / (past + 0.001)).ln(),
        (top - softest(at.saturating_sub(4), at)).clamp(0.0, 40.0) / 10.0,
        (top - player.usual()).clamp(-40.0, 15.0) / 10.0,
        after.clarity,
        after.agree,
        (earlier - softest(at.saturating_sub(3), at + 2)).clamp(0.0, 40.0) / 10.0,
        player.familiar(after.key).ln(),
        since.ln(),
        jump.min(2.0),
        flag(is_octave),
        after.spread.min(2.0),
        flag(is_peak),
        (novelty + 0.001).ln() - player.attack(),
        after.clarity - player.clarity(),
        (history.brightness(at + 4) - player.brightness()).abs().min(0.3) * 10.0,
    ];
    Some(Candidate { at, situation, features, key: after.key, likely: 0.0 })
}

/// A pitch over some hops.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plateau {
    /// The median.
    pub key: f32,
    /// The mean clarity of all hops.
    pub clarity: f32,
    /// The share of hops near the median.
    pub agree: f32,
    /// From the lowest to the highest of those.
    pub spread: f32,
}

/// The most hops of a plateau.
const MOST: usize = 16;

impl Plateau {
    /// From one hop to another; `None` where less than half of them have a pitch.
    pub(super) fn of(history: &History, from: u64, to: u64) -> Option<Self> {
        let mut keys = [0.0; MOST];
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
