//! The weight of the player's timing against the beat itself, from how steady the player has been and how
//! well the beat fits.
//!
//! Fitted by `tests/fit/fit_divisions.py` to maximise the likelihood of the true positions of phrase
//! starts: in the labelled solos of the Weimar Jazz Database's open half (Pfleiderer and others 2017),
//! where each start weighs 6, and in invented performances, where each weighs 2 as quantized after the
//! take and 1 as settled.

use super::costs::{ByPlayer, Candidates};
use super::player_timing::PlayerTiming;

/// Log odds per spread of the largest deviation from a part, per logarithm of the pulse in seconds, and
/// per log likelihood of the best candidate by the player.
const DEVIATION: f64 = -0.408;
const PULSE: f64 = 0.9735;
const PLAYER: f64 = 0.0392;

/// The values of these in a usual beat, for which [`PlayerTiming::steadiness`] holds.
const USUAL_DEVIATION: f64 = 1.2;
const USUAL_PULSE: f64 = 0.375;
const USUAL_PLAYER: f64 = -2.0;

/// The weight of the candidates by the player's timing, from 0 to 1, in a beat of `pulse` seconds.
pub(super) fn of_player(
    timing: &PlayerTiming,
    pulse: f64,
    by_beat: &Candidates,
    by_player: &ByPlayer,
) -> f64 {
    let player = match by_player.candidates.iter().map(|candidate| candidate.1).reduce(f64::max) {
        None => return 0.0,
        Some(_) if by_beat.is_empty() => return 1.0,
        Some(player) => player,
    };
    let farthest = by_player.away.iter().fold(0.0_f64, |most, away| most.max(away.abs()));
    let odds = timing.steadiness()
        + DEVIATION * (farthest - USUAL_DEVIATION)
        + PULSE * (pulse / USUAL_PULSE).ln()
        + PLAYER * (player - USUAL_PLAYER);
    1.0 / (1.0 + (-odds).exp())
}
