//! Onset candidates: moments at which a note may begin.
//!
//! A moment is judged [`LOOK_AHEAD`] hops later, when what follows is known. There are three kinds of candidates: a
//! peak of novelty, a change of pitch, and a pitched sound without an onset.

use super::features::{FEATURES, Moment};
use super::history::History;
use super::plateau::{APART, Plateau};
use super::player::Player;
use super::situation::Situation;

/// Hops after which a moment is judged: 43 ms.
pub(super) const LOOK_AHEAD: u64 = 8;

/// A moment at which a note may begin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// The hop.
    pub at: u64,
    /// What the player was doing.
    pub situation: Situation,
    /// See `features`.
    pub features: [f32; FEATURES],
    /// The pitch after it, as a MIDI key at 440 Hz.
    pub key: f32,
    /// The clarity of that pitch, from 0 to 1.
    pub clarity: f32,
    /// The probability of an onset, from 0 to 1.
    pub likely: f32,
}

/// Hops after a moment, first and last, in which its pitch is found; and before it, for the previous pitch.
const AFTER: (u64, u64) = (2, 5);
const BEFORE: (u64, u64) = (6, 2);

/// Novelty below this is ignored.
const NEW: f32 = 0.004;

/// The least hops from the last candidate to a sound without an onset.
const AGAIN: u64 = 8;

/// The candidate at hop `at`, if any. `sounding` is the pitch of the current note; `last` has the hops of the last
/// candidate and the last onset.
pub(super) fn candidate(
    history: &History,
    player: &Player,
    at: u64,
    sounding: Option<f32>,
    last: (u64, u64),
) -> Option<Candidate> {
    let after = Plateau::of(history, at + AFTER.0, at + AFTER.1)?;
    let before = Plateau::of(history, at.saturating_sub(BEFORE.0), at.saturating_sub(BEFORE.1));
    let novelty = history.novelty(at);
    let around = at.saturating_sub(3)..=at + 3;
    let is_peak = novelty > NEW && around.clone().all(|near| history.novelty(near) <= novelty);
    // The pitch crosses the middle between the pitches before and after.
    let crosses = before.is_some_and(|before| {
        let middle = (before.key + after.key) / 2.0;
        let side = |at: u64| history.key(at).0 > middle;
        let up = after.key > before.key;
        (before.key - after.key).abs() >= APART && side(at) != up && side(at + 1) == up
    });
    let comes_up = sounding.is_none() && after.agree >= 0.99 && at >= last.0 + AGAIN;
    if !is_peak && !crosses && !comes_up {
        return None;
    }
    let situation = match sounding {
        None => Situation::Rest,
        Some(key) if (key - after.key).abs() >= APART => Situation::Moved,
        Some(_) => Situation::Same,
    };
    let before = before.map(|before| before.key);
    let moment = Moment { history, player, at, situation, after, before, sounding, last, is_peak };
    let (features, Plateau { key, clarity, .. }) = (moment.features(), after);
    Some(Candidate { at, situation, features, key, clarity, likely: 0.0 })
}
