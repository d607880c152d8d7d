//! The cost of assigning notes to the parts of a beat, by the beat itself and by the player's timing.
//! Fitted by `tests/fit/fit_divisions.py`: the first on all beats of the 207 solos in 4/4 of the Weimar
//! Jazz Database's open half (Pfleiderer and others 2017), against its labels; the second on beats in
//! which phrases of invented performances start.

use super::grid_assignment::GridAssignment;
use super::packed_indices::MAX_NOTES;
use super::player_timing::PlayerTiming;
use crate::stats::real;
use arrayvec::ArrayVec;

/// Divisions of a beat, each with its cost relative to the undivided beat.
const BY_BEAT: [(u8, f64); 18] = [
    (1, 0.0),
    (2, 5.51),
    (3, 21.68),
    (4, 26.31),
    (5, 46.82),
    (6, 46.61),
    (7, 64.91),
    (8, 64.72),
    (9, 80.05),
    (10, 79.47),
    (11, 91.51),
    (12, 91.29),
    (13, 97.07),
    (14, 96.11),
    (15, 100.24),
    (16, 100.23),
    (18, 102.82),
    (20, 105.05),
];

/// Cost per beat of unevenness, the standard deviation of the notes' lateness, and per beat of distance
/// from their parts, the root of the sum of squares.
const UNEVEN: f64 = 106.73;
const AWAY: f64 = 83.71;

/// Prune candidates that cost 25 more than the best: their odds are 10⁻¹¹.
const FAR: f64 = 25.0;

/// Divisions and costs by the player's timing. Deviations are in units of [`SPREAD`].
const BY_PLAYER: [(u8, f64); 6] =
    [(1, 0.0), (2, -2.080), (3, 2.973), (4, 1.500), (6, 3.707), (8, 2.875)];

/// The spread of a steady player's onsets, in seconds.
const SPREAD: f64 = 0.020;

/// Cost of half the sum of squared deviations, each capped at [`FARTHEST`], and of the largest deviation.
const SQUARES: f64 = 0.293;
const FARTHEST: f64 = 20.0;
const LARGEST: f64 = 0.755;

/// Further costs of three or more parts: for no note on the beat, per unplayed part, per logarithm of the
/// rate relative to [`REFERENCE`] pulses a minute, and for parts shorter than [`SHORTEST`] seconds, in
/// proportion. Last, the cost of two parts with no note on the beat.
const HEADLESS: f64 = -1.455;
const GAP: f64 = 1.048;
const RATE: f64 = -2.599;
const REFERENCE: f64 = 160.0;
const SHORT: f64 = 2.967;
const SHORTEST: f64 = 0.075;
const OFF_BEAT: f64 = 1.179;

/// Candidates, each with the logarithm of its likelihood.
pub(super) type Candidates = ArrayVec<(GridAssignment, f64), { BY_BEAT.len() }>;

pub(super) struct ByPlayer {
    pub candidates: Candidates,
    /// Lateness of each note by the likeliest candidate, in spreads.
    pub away: ArrayVec<f64, MAX_NOTES>,
}

/// Candidates by the beat; `onsets` are in pulses from it.
pub(super) fn by_beat(onsets: &[f64]) -> Candidates {
    let mut candidates = Candidates::new();
    let mut least = f64::INFINITY;
    for (parts, cost) in BY_BEAT {
        if cost > least + FAR {
            break;
        }
        let Some(assignment) = GridAssignment::each_nearest(onsets, parts) else { continue };
        let away =
            onsets.iter().zip(assignment.steps()).map(|(on, step)| on - assignment.position(step));
        let (sum, squares) =
            away.fold((0.0, 0.0), |(sum, squares), away| (sum + away, squares + away * away));
        let notes = real(onsets.len());
        let around_the_mean = (squares - sum * sum / notes).max(0.0);
        let uneven = (around_the_mean / (notes - 1.0).max(1.0)).sqrt();
        let cost = cost + UNEVEN * uneven + AWAY * squares.sqrt();
        least = least.min(cost);
        candidates.push((assignment, -cost));
    }
    candidates
}

/// Candidates by the player's timing. `onsets` are in pulses of `pulse` seconds from the beat; its "and"
/// is at `and`.
pub(super) fn by_player(onsets: &[f64], pulse: f64, timing: &PlayerTiming, and: f64) -> ByPlayer {
    let off_lag = timing.off_beat_lag() / pulse;
    let spreads = pulse / SPREAD;
    let rate = (60.0 / pulse / REFERENCE).ln();
    let on_time: ArrayVec<f64, MAX_NOTES> =
        onsets.iter().map(|onset| onset - off_lag).take(MAX_NOTES).collect();
    let away = |assignment: &GridAssignment| {
        let assignment = *assignment;
        move |(onset, step): (&f64, u8)| {
            let expected = match (assignment.parts(), step) {
                (_, 0) => 2.0 * off_lag,
                (2, _) => and + off_lag,
                _ => assignment.position(step) + off_lag,
            };
            (onset - expected) * spreads
        }
    };
    let candidate = |(parts, cost): (u8, f64)| {
        // The position without lag and swing; on the beat the lag is twice as large.
        let plain = |on: &f64| {
            let even = if parts == 2 && *on >= 0.5 * and { on + 0.5 - and } else { *on };
            if even < 0.5 / f64::from(parts) { even - off_lag } else { even }
        };
        let plain_onsets: ArrayVec<f64, MAX_NOTES> = on_time.iter().map(plain).collect();
        let assignment = GridAssignment::of(&plain_onsets, parts)?;
        let (mut squares, mut largest) = (0.0, 0.0_f64);
        for away in onsets.iter().zip(assignment.steps()).map(away(&assignment)) {
            squares += (away * away).min(FARTHEST);
            largest = largest.max(away.abs());
        }
        let headless = assignment.steps().next().is_some_and(|first| first > 0);
        let mut cost = cost + 0.5 * SQUARES * squares + LARGEST * largest;
        if parts >= 3 {
            let short = (SHORTEST * f64::from(parts) / pulse - 1.0).max(0.0);
            cost += RATE * rate + SHORT * short + GAP * (f64::from(parts) - real(onsets.len()));
            cost += if headless { HEADLESS } else { 0.0 };
        } else if parts == 2 && headless {
            cost += OFF_BEAT;
        }
        Some((assignment, -cost))
    };
    let candidates: Candidates = BY_PLAYER.into_iter().filter_map(candidate).collect();
    let likeliest = candidates.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let away = likeliest
        .map(|(assignment, _)| {
            onsets.iter().zip(assignment.steps()).map(away(assignment)).collect()
        })
        .unwrap_or_default();
    ByPlayer { candidates, away }
}
