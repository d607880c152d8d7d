//! Whether a beat is rather to be read by itself or by its player's timing.
//!
//! Both readings are made, and a place is as likely as both say, each by its share. What the player
//! has shown so far tells that share, and how well the beat fits either reading.
//!
//! Fitted by `tests/fit/fit_divisions.py`, so that what was meant at phrase starts is likely: in
//! the labelled solos of the Weimar Jazz Database's open half (Pfleiderer and others 2017), of which
//! each start weighs 6, and in invented performances.

use super::costs::{ByPlayer, Ways};
use super::habit::Habit;

/// For each spread that the note farthest from its part is late or early, for the logarithm of the
/// pulse in seconds, and for what the likeliest way costs by the player and by the beat.
const DEVIATION: f64 = -0.6008;
const PULSE: f64 = 2.116;
const PLAYER: f64 = 0.36;
const BEAT: f64 = -0.1008;

/// The same of a usual beat, which [`Habit::steadiness`] is of.
const USUAL_DEVIATION: f64 = 1.2;
const USUAL_PULSE: f64 = 0.375;
const USUAL_PLAYER: f64 = -2.0;
const USUAL_BEAT: f64 = -15.0;

/// The share of the reading by the player's timing, from 0 to 1, in a beat of `pulse` seconds.
pub(super) fn of_player(habit: &Habit, pulse: f64, by_beat: &Ways, by_player: &ByPlayer) -> f64 {
    let most = |ways: &Ways| ways.iter().map(|way| way.1).reduce(f64::max);
    // More notes than either can lay are read by the other.
    let (player, beat) = match (most(&by_player.ways), most(by_beat)) {
        (None, _) => return 0.0,
        (_, None) => return 1.0,
        (Some(player), Some(beat)) => (player, beat),
    };
    let farthest = by_player.away.iter().fold(0.0_f64, |most, away| most.max(away.abs()));
    let odds = habit.steadiness()
        + DEVIATION * (farthest - USUAL_DEVIATION)
        + PULSE * (pulse / USUAL_PULSE).ln()
        + PLAYER * (player - USUAL_PLAYER)
        + BEAT * (beat - USUAL_BEAT);
    1.0 / (1.0 + (-odds).exp())
}
