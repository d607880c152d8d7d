//! What it costs to lay notes on the parts of a beat, by the beat itself and by the player's
//! timing. Fitted by `tests/fit/fit_divisions.py`: the first on all beats of the 207 solos in 4/4 of
//! the Weimar Jazz Database's open half (Pfleiderer and others 2017), against the parts its labels
//! give; the second on beats in which phrases of invented performances begin.

use super::grid_assignment::{GridAssignment, MOST};
use super::player_timing::Habit;
use arrayvec::ArrayVec;

/// The ways a beat is divided, and what each costs against the whole beat.
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

/// What a beat of unevenness among its notes costs, the standard deviation of how late they are; and
/// of distance from their parts, the root of the sum of squares.
const UNEVEN: f64 = 106.73;
const AWAY: f64 = 83.71;

/// A way that costs so much more than another is out of the question: its odds are 10⁻¹¹.
const FAR: f64 = 25.0;

/// The same by the player's timing. A deviation counts in spreads of [`SPREAD`].
const BY_PLAYER: [(u8, f64); 6] =
    [(1, 0.0), (2, -2.080), (3, 2.973), (4, 1.500), (6, 3.707), (8, 2.875)];

/// The spread of a steady player's onsets, in seconds.
const SPREAD: f64 = 0.020;

/// What half the sum of squared deviations costs, cut at `FARTHEST` each, and the largest.
const SQUARES: f64 = 0.293;
const FARTHEST: f64 = 20.0;
const LARGEST: f64 = 0.755;

/// What three parts or more cost for a beat without a note on it, for each that is not played,
/// with the logarithm of the rate against [`REFERENCE`] pulses a minute, and where one lasts less
/// than [`SHORTEST`] seconds, by how much less; and what two cost without a note on the beat.
const HEADLESS: f64 = -1.455;
const GAP: f64 = 1.048;
const RATE: f64 = -2.599;
const REFERENCE: f64 = 160.0;
const SHORT: f64 = 2.967;
const SHORTEST: f64 = 0.075;
const OFF_BEAT: f64 = 1.179;

/// Ways of laying notes, and how likely each is against others, as a logarithm.
pub(super) type Ways = ArrayVec<(GridAssignment, f64), { BY_BEAT.len() }>;

/// The ways by the player.
pub(super) struct ByPlayer {
    pub ways: Ways,
    /// How late each note is by the likeliest way, in spreads.
    pub away: ArrayVec<f64, MOST>,
}

/// By the beat: `onsets` in pulses from it.
pub(super) fn by_beat(onsets: &[f64]) -> Ways {
    let mut ways = Ways::new();
    let mut least = f64::INFINITY;
    for (parts, cost) in BY_BEAT {
        if cost > least + FAR {
            break;
        }
        let Some(lying) = GridAssignment::each_nearest(onsets, parts) else { continue };
        let away = onsets.iter().zip(lying.steps()).map(|(on, step)| on - lying.place(step));
        let (sum, squares) =
            away.fold((0.0, 0.0), |(sum, squares), away| (sum + away, squares + away * away));
        let notes = count(onsets.len());
        let around_the_mean = (squares - sum * sum / notes).max(0.0);
        let uneven = (around_the_mean / (notes - 1.0).max(1.0)).sqrt();
        let cost = cost + UNEVEN * uneven + AWAY * squares.sqrt();
        least = least.min(cost);
        ways.push((lying, -cost));
    }
    ways
}

/// By the player's habit: `onsets` in pulses of `pulse` seconds from the beat, whose "and" lies at
/// `and`.
pub(super) fn by_player(onsets: &[f64], pulse: f64, habit: &Habit, and: f64) -> ByPlayer {
    let off_lag = habit.off_beat_lag() / pulse;
    let spreads = pulse / SPREAD;
    let rate = (60.0 / pulse / REFERENCE).ln();
    let on_time: ArrayVec<f64, MOST> =
        onsets.iter().map(|onset| onset - off_lag).take(MOST).collect();
    let away = |lying: &GridAssignment| {
        let lying = *lying;
        move |(onset, step): (&f64, u8)| {
            let expected = match (lying.parts(), step) {
                (_, 0) => 2.0 * off_lag,
                (2, _) => and + off_lag,
                _ => lying.place(step) + off_lag,
            };
            (onset - expected) * spreads
        }
    };
    let way = |(parts, cost): (u8, f64)| {
        // Where a note would lie without lag and swing; on the beat the lag is twice as large.
        let plain = |on: &f64| {
            let even = if parts == 2 && *on >= 0.5 * and { on + 0.5 - and } else { *on };
            if even < 0.5 / f64::from(parts) { even - off_lag } else { even }
        };
        let plain_onsets: ArrayVec<f64, MOST> = on_time.iter().map(plain).collect();
        let lying = GridAssignment::of(&plain_onsets, parts)?;
        let (mut squares, mut largest) = (0.0, 0.0_f64);
        for away in onsets.iter().zip(lying.steps()).map(away(&lying)) {
            squares += (away * away).min(FARTHEST);
            largest = largest.max(away.abs());
        }
        let headless = lying.steps().next().is_some_and(|first| first > 0);
        let mut cost = cost + 0.5 * SQUARES * squares + LARGEST * largest;
        if parts >= 3 {
            let short = (SHORTEST * f64::from(parts) / pulse - 1.0).max(0.0);
            cost += RATE * rate + SHORT * short + GAP * (f64::from(parts) - count(onsets.len()));
            cost += if headless { HEADLESS } else { 0.0 };
        } else if parts == 2 && headless {
            cost += OFF_BEAT;
        }
        Some((lying, -cost))
    };
    let ways: Ways = BY_PLAYER.into_iter().filter_map(way).collect();
    let likeliest = ways.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let away = likeliest
        .map(|(lying, _)| onsets.iter().zip(lying.steps()).map(away(lying)).collect())
        .unwrap_or_default();
    ByPlayer { ways, away }
}

#[expect(clippy::cast_precision_loss, reason = "a number of notes, up to 12")]
fn count(of: usize) -> f64 {
    of as f64
}
