//! Whether a beat is rather to be read by itself or by its player's timing.
//!
//! Both readings are made, and a place is as likely as both say, each by its share. What the player
//! has shown so far tells that share, and how well the beat fits his timing.
//!
//! Fitted by `tests/fit/fit_divisions.py`, so that what was meant at phrase starts is likely: in
//! the labelled solos of the Weimar Jazz Database's open half (Pfleiderer and others 2017), of which
//! each start weighs 6, and in invented performances, of which each weighs 2 as it is read after
//! the take, and 1 as it is settled.

use super::costs::{ByPlayer, Ways};
use super::player_timing::Habit;

/// For each spread that the note farthest from its part is late or early, for the logarithm of the
/// pulse in seconds, and for what the likeliest way costs by the player.
const DEVIATION: f64 = -0.408;
const PULSE: f64 = 0.9735;
const PLAYER: f64 = 0.0392;

/// The same of a usual beat, which [`Habit::steadiness`] is of.
const USUAL_DEVIATION: f64 = 1.2;
const USUAL_PULSE: f64 = 0.375;
const USUAL_PLAYER: f64 = -2.0;

/// The share of the reading by the player's timing, from 0 to 1, in a beat of `pulse` seconds.
pub(super) fn of_player(habit: &Habit, pulse: f64, by_beat: &Ways, by_player: &ByPlayer) -> f64 {
    // What cannot be laid in one way is read by the other.
    let player = match by_player.ways.iter().map(|way| way.1).reduce(f64::max) {
        None => return 0.0,
        Some(_) if by_beat.is_empty() => return 1.0,
        Some(player) => player,
    };
    let farthest = by_player.away.iter().fold(0.0_f64, |most, away| most.max(away.abs()));
    let odds = habit.steadiness()
        + DEVIATION * (farthest - USUAL_DEVIATION)
        + PULSE * (pulse / USUAL_PULSE).ln()
        + PLAYER * (player - USUAL_PLAYER);
    1.0 / (1.0 + (-odds).exp())
}
