//! Quantizes the line of a steady player as a whole once the take is over.
//!
//! The quantizer works beat by beat, for any player. If a player's onsets scatter little, more can be known:
//! the player's lag on and off the beat, the position of the "and", and the figures of the line. So lag,
//! "and" and figures are estimated over the whole take from the current positions; then each run of notes
//! gets the likeliest chain of figures and pulses (a Viterbi path). This is repeated.

use super::figures::{FIGURES, MAX_NOTES, PULSE, costs};
use super::placed::Placed;
use crate::phrase::AnalysisContext;
use crate::stats::{median, real};
use crate::time::metre::Division;

/// The spread of a steady player's onsets, in seconds: more than that of programs, and less than that of
/// nearly all labelled solos of the Weimar Jazz Database's open half, which are left unchanged.
const STEADY: (f64, f64) = (0.002, 0.018);

/// Notes on beats and on "ands" needed to judge the spread: with fewer, labelled solos get worse.
const MIN_NOTES: usize = 150;

/// Number of iterations, and the least spread assumed, in seconds. Own values.
const ITERATIONS: usize = 3;
const MIN_SPREAD: f64 = 0.010;

/// Weight, in notes, of the prior that notes neither on a beat nor on its "and" have half the lag on beats.
/// Origin: soloists play off-beats closer to the time (Nelias and others 2022); own weight.
const OTHERS: f64 = 10.0;

/// The largest cost of a note's deviation. Own value: about five spreads.
const FAR: f64 = 12.0;

/// The cost of a pulse without notes, and the most of them that are counted. Own values.
const EMPTY: f64 = 2.0;
const MAX_EMPTY: i64 = 2;

/// After this point of a pulse a note may belong to the next pulse, and before that one to the pulse before.
const LATE: f64 = 0.6;
const EARLY: f64 = 0.25;

/// The range of a figure's last note, in pulses after the figure's pulse. Own values.
const FIRST: f64 = -0.5;
const LAST: f64 = 1.3;

/// A longer gap between notes, in pulses, starts a new run.
const RUN_GAP: f64 = 2.0;

/// A note of the line: its played position in pulses from bar 0, the length of a pulse there in seconds, and
/// its written position in ticks of [`PULSE`] per pulse.
#[derive(Debug, Clone, Copy)]
struct Struck {
    played: f64,
    seconds: f64,
    at: i64,
}

/// A player's lag in seconds: on beats, on "ands" relative to half a beat, and elsewhere.
#[derive(Debug, Clone, Copy)]
struct Timing {
    on: f64,
    and: f64,
    others: f64,
    spread: f64,
}

/// Quantizes the onsets of a steady player again; leaves other players and takes with changes of metre
/// unchanged.
pub(super) fn requantize(placed: &mut [Placed], context: AnalysisContext<'_>) {
    let lines = &context.lines;
    let [stretch] = lines.metres.stretches() else { return };
    let (length, division) = lines.pulse_of(stretch.metre);
    let pulses = i64::from(lines.pulses_in(stretch.metre));
    let frame = i64::from(super::value::ticks(length));
    if division != Division::Two
        || frame * pulses != i64::from(super::value::ticks(stretch.metre.bar()))
    {
        return;
    }
    let mut written: Vec<&mut Placed> =
        placed.iter_mut().filter(|placed| !placed.crowded).collect();
    let struck = |placed: &&mut Placed| {
        let position = context.position(placed.onset)?;
        let first = placed.bar.checked_mul(pulses)?;
        #[expect(clippy::cast_precision_loss, reason = "bar numbers stay far below 2^53")]
        let before = position.bar.saturating_mul(pulses) as f64;
        Some(Struck {
            played: before + position.played - 1.0,
            seconds: context.pulse_position(placed.onset)?.seconds.0,
            at: first.checked_mul(PULSE)? + i64::from(placed.at) * PULSE / frame,
        })
    };
    let Some(mut line) = written.iter().map(struck).collect::<Option<Vec<Struck>>>() else {
        return;
    };
    let exact = |timing: Timing| timing.spread < STEADY.0;
    if Timing::of(&line).is_none_or(exact) {
        return;
    }
    for _ in 0..ITERATIONS {
        iterate(&mut line);
    }
    if Timing::of(&line).is_none_or(|timing| timing.spread > STEADY.1) {
        return;
    }
    for (placed, struck) in written.iter_mut().zip(&line) {
        let (pulse, inside) = (struck.at.div_euclid(PULSE), struck.at.rem_euclid(PULSE));
        let at = u32::try_from(pulse.rem_euclid(pulses) * frame + inside * frame / PULSE);
        placed.bar = pulse.div_euclid(pulses);
        placed.at = at.unwrap_or(placed.at);
        placed.bar_start = lines.bar(placed.bar).start;
    }
}

impl Timing {
    /// The timing estimated from the current positions; `None` with too few notes.
    fn of(line: &[Struck]) -> Option<Self> {
        let (mut on, mut and, mut others) = (Vec::new(), Vec::new(), Vec::new());
        for struck in line {
            let late = (struck.played - pulses(struck.at)) * struck.seconds;
            match struck.at.rem_euclid(PULSE) {
                0 => on.push(late),
                96 => and.push(late),
                48 | 64 | 128 | 144 => others.push(late),
                _ => {}
            }
        }
        if on.len() + and.len() < MIN_NOTES {
            return None;
        }
        let lag = median(&mut on).unwrap_or(0.0);
        let late = median(&mut and).unwrap_or(0.5 * lag);
        let kept = real(others.len()) / (real(others.len()) + OTHERS);
        let other = median(&mut others).unwrap_or(0.0);
        let square = |late: &mut [f64], middle: f64| {
            late.iter_mut().for_each(|late| *late = (*late - middle).abs());
            // Scales a median absolute deviation to a standard deviation.
            let spread = 1.4826 * median(late).unwrap_or(0.0);
            spread * spread * real(late.len())
        };
        let squares = square(&mut on, lag) + square(&mut and, late);
        Some(Self {
            on: lag,
            and: late,
            others: kept * other + (1.0 - kept) * 0.5 * lag,
            spread: (squares / real(on.len() + and.len())).sqrt(),
        })
    }

    /// The cost of assigning notes to a figure at `pulse`.
    fn cost(&self, notes: &[Struck], pulse: i64, figure: usize) -> f64 {
        let Some(figure) = FIGURES.get(figure) else { return f64::INFINITY };
        let spread = self.spread.max(MIN_SPREAD);
        let cost = |(note, at): (&Struck, &i64)| {
            let late = match at {
                0 => self.on,
                96 if figure.swings => self.and,
                _ => self.others,
            };
            let away = (note.played - pulses(pulse * PULSE + at)) * note.seconds - late;
            (0.5 * (away / spread).powi(2)).min(FAR)
        };
        notes.iter().zip(figure.at).map(cost).sum()
    }
}

/// One iteration: estimates timing and figures from the current positions, then updates these.
fn iterate(line: &mut [Struck]) {
    let Some(timing) = Timing::of(line) else { return };
    let together = line.chunk_by(|a, b| a.at.div_euclid(PULSE) == b.at.div_euclid(PULSE));
    let figures =
        costs(together.map(|pulse| pulse.iter().map(|note| note.at.rem_euclid(PULSE)).collect()));
    for run in line.chunk_by_mut(|a, b| b.played - a.played <= RUN_GAP) {
        let Some(at) = likeliest(run, &timing, &figures) else { continue };
        run.iter_mut().zip(at).for_each(|(note, at)| note.at = at);
    }
}

/// A path through the first notes of a run: its cost, its last pulse and figure, and the path before.
#[derive(Debug, Clone, Copy)]
struct Path {
    cost: f64,
    pulse: i64,
    figure: usize,
    before: usize,
}

/// The written positions of a run's notes, by the cheapest chain of figures; `None` if there is no chain.
fn likeliest(run: &[Struck], timing: &Timing, figures: &[f64; FIGURES.len()]) -> Option<Vec<i64>> {
    let mut ways: Vec<Vec<Path>> = vec![Vec::new(); run.len() + 1];
    for first in 0..run.len() {
        for pulse in homes(run.get(first)?.played).into_iter().flatten() {
            for count in 1..=MAX_NOTES.min(run.len() - first) {
                let notes = run.get(first..first + count)?;
                let last = notes.last()?.played - pulses(pulse.saturating_mul(PULSE));
                if !(FIRST..LAST).contains(&last) {
                    break;
                }
                let Some((figure, cost)) = cheapest(notes, pulse, timing, figures) else {
                    continue;
                };
                let so_far = |(before, way): (usize, &Path)| {
                    let empty = (pulse - way.pulse - 1).min(MAX_EMPTY);
                    #[expect(clippy::cast_precision_loss, reason = "0 to 2")]
                    (empty >= 0).then_some((way.cost + EMPTY * empty as f64, before))
                };
                let best = match first {
                    0 => Some((0.0, 0)),
                    _ => ways
                        .get(first)?
                        .iter()
                        .enumerate()
                        .filter_map(so_far)
                        .min_by(|a, b| a.0.total_cmp(&b.0)),
                };
                let Some((so_far, before)) = best else { continue };
                let way = Path { cost: so_far + cost, pulse, figure, before };
                let to = ways.get_mut(first + count)?;
                match to.iter_mut().find(|other| other.pulse == pulse) {
                    Some(other) if other.cost <= way.cost => {}
                    Some(other) => *other = way,
                    None => to.push(way),
                }
            }
        }
    }
    let mut at = Vec::with_capacity(run.len());
    let mut way = *ways.last()?.iter().min_by(|a, b| a.cost.total_cmp(&b.cost))?;
    loop {
        at.extend(FIGURES.get(way.figure)?.at.iter().rev().map(|at| way.pulse * PULSE + at));
        let left = run.len() - at.len();
        if left == 0 {
            break;
        }
        way = *ways.get(left)?.get(way.before)?;
    }
    at.reverse();
    Some(at)
}

/// The pulses that a note may belong to.
fn homes(played: f64) -> [Option<i64>; 2] {
    let (pulse, inside) = (whole(played.floor()), played - played.floor());
    let other = match inside {
        _ if inside > LATE => pulse.checked_add(1),
        _ if inside < EARLY => pulse.checked_sub(1),
        _ => None,
    };
    [Some(pulse), other]
}

/// The cheapest figure for these notes at a pulse.
fn cheapest(
    notes: &[Struck],
    pulse: i64,
    timing: &Timing,
    figures: &[f64; FIGURES.len()],
) -> Option<(usize, f64)> {
    let fits = FIGURES.iter().zip(figures).enumerate();
    let fits = fits.filter(|(_, (figure, _))| figure.at.len() == notes.len());
    let costs = fits.map(|(index, (_, rarity))| (index, rarity + timing.cost(notes, pulse, index)));
    costs.min_by(|a, b| a.1.total_cmp(&b.1))
}

#[expect(clippy::cast_precision_loss, reason = "bar numbers stay far below 2^53")]
fn pulses(ticks: i64) -> f64 {
    ticks as f64 / PULSE as f64
}

#[expect(clippy::cast_possible_truncation, reason = "the cast saturates")]
fn whole(pulse: f64) -> i64 {
    pulse as i64
}
