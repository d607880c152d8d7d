//! Matches onsets with the notes of an unbroken line.
//!
//! The result is the likeliest assignment of onsets to due notes in order, at most one to each. It
//! estimates the player's lag and swing too: a coarse grid search, refined on the matched notes, then
//! tracked through the chorus. So an onset is compared with where this player would have put the note,
//! not with the grid.

use crate::time::{Beat, Tempo};

/// A note that is due.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DueNote {
    /// Where it is notated.
    pub beat: Beat,
    pub tempo: Tempo,
    /// Its index in the pulse of the metre, whichever pulse is felt, because that pulse is what swings.
    pub phase: usize,
    /// Whether it is on the felt beat.
    pub on_beat: bool,
    /// Length of the note value in quarter notes.
    pub quarters: f64,
}

impl DueNote {
    fn seconds(&self, quarters: f64) -> f64 {
        quarters * 60.0 / self.tempo.quarters_a_minute()
    }
}

/// The score of onsets for a due note.
struct Scoring {
    beat: f64,
    seconds_a_quarter: f64,
    /// The largest deviation from where the player would have put the note, in seconds.
    reach: f64,
    /// The score without deviation, and its loss by the square of the deviation.
    score: f64,
    loss: f64,
}

impl Scoring {
    fn of(note: &DueNote) -> Self {
        let value = note.seconds(note.quarters);
        let reach = (REACH_OF_VALUE * value).min(REACH.0 + REACH.1 * value);
        let spread = SPREAD.0.hypot(SPREAD.1 * value);
        let loss = 0.5 / (spread * spread);
        Self {
            beat: note.beat.0,
            seconds_a_quarter: note.seconds(1.0),
            reach,
            score: loss * reach * reach,
            loss,
        }
    }

    /// How late an onset is, in seconds.
    fn late(&self, onset: Beat) -> f64 {
        (onset.0 - self.beat) * self.seconds_a_quarter
    }
}

/// The largest deviation of an onset: seconds, and a part of the note value. Origin: four times the
/// spread of a soloist's timing (21.5 ms within a solo, Weimar Jazz Database, Pfleiderer and others
/// 2017), and a little more for long notes.
const REACH: (f64, f64) = (0.080, 0.050);

/// Cap of the reach, as a part of the note value; among neighbouring notes the assignment decides.
const REACH_OF_VALUE: f64 = 0.75;

/// Spread of onsets: seconds, and a part of the note value, added as squares. Origin: as above; the
/// second is common practice, no source.
pub(super) const SPREAD: (f64, f64) = (0.022, 0.02);

/// Lags of the coarse search, in steps of 18 ms, and the prior of a lag in seconds: mean and spread.
/// Origin: mean delays on the beat of 7 to 51 ms by tempo (as above), and players ahead of the beat.
const LAGS: core::ops::RangeInclusive<i32> = -3..=5;
const LAG_STEP: f64 = 0.018;
pub(super) const USUAL_LAG: (f64, f64) = (0.015, 0.030);

/// Lag off the beat, as a part of that on the beat. Origin: soloists delay beats and play off-beats
/// closer to the time (Nelias and others 2022); a half is a round figure.
pub(super) const OFF_BEAT_LAG: f64 = 0.5;

/// Swing of the coarse search: how far the second of two eighths is after the middle of the pulse, from
/// straight to about three to one (Benadon 2006, by definition of the ratio).
const SWINGS: [f64; 4] = [0.0, 0.08, 0.16, 0.24];

/// Weight of the coarse result in the refinement, in notes.
const GUESS_WEIGHT: f64 = 2.0;

/// Matched notes on each side for the running lag, and the weight of no deviation, in notes.
const RUNNING: usize = 8;
const RUNNING_WEIGHT: f64 = 4.0;

/// Most notes of one value in a pulse.
const PHASES: usize = 16;

/// An onset that matches a due note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Matched {
    pub onset: usize,
    /// How late it is for the notated note, in seconds.
    pub late: f64,
}

/// For each of `due` the matching one of `onsets`; both are in order.
pub fn fit(due: &[DueNote], onsets: &[Beat]) -> Vec<Option<Matched>> {
    let swings = due.iter().any(|note| note.phase == 1) && due.iter().all(|note| note.phase < 2);
    let scoring: Vec<Scoring> = due.iter().map(Scoring::of).collect();
    let mut best: Option<(f64, [f64; PHASES])> = None;
    let shapes = if swings { &SWINGS[..] } else { SWINGS.get(..1).unwrap_or_default() };
    for lag in LAGS.map(|step| f64::from(step) * LAG_STEP) {
        let usual = (lag - USUAL_LAG.0) / USUAL_LAG.1;
        for swing in shapes {
            let late = |note: &DueNote| match note.phase {
                0 => lag,
                1 if swings => OFF_BEAT_LAG * lag + note.seconds(2.0 * note.quarters * swing),
                _ => OFF_BEAT_LAG * lag,
            };
            let expected: Vec<f64> = due.iter().map(late).collect();
            let score = assign(&scoring, onsets, &expected).score();
            let score = score - 0.5 * usual * usual;
            if best.is_none_or(|(most, _)| score > most) {
                let mut by_phase = [OFF_BEAT_LAG * lag; PHASES];
                for (slot, late) in by_phase.iter_mut().zip([lag, means(due, &expected)]) {
                    *slot = late;
                }
                best = Some((score, by_phase));
            }
        }
    }
    let mut by_phase = best.map_or([0.0; PHASES], |(_, by_phase)| by_phase);
    let guess = by_phase;
    let mut matched = Vec::new();
    for _ in 0..2 {
        matched = assign(&scoring, onsets, &expected(due, &by_phase)).matched(due.len());
        by_phase = refined(due, &matched, &guess);
    }
    let mut follow = expected(due, &by_phase);
    add_running_lag(&mut follow, &matched);
    assign(&scoring, onsets, &follow).matched(due.len())
}

/// Mean expected lateness of the second note of a pulse, which varies with the tempo.
fn means(due: &[DueNote], expected: &[f64]) -> f64 {
    let second = due.iter().zip(expected).filter(|(note, _)| note.phase == 1);
    let (sum, count) = second.fold((0.0, 0.0), |(sum, count), (_, late)| (sum + late, count + 1.0));
    if count > 0.0 { sum / count } else { 0.0 }
}

fn expected(due: &[DueNote], by_phase: &[f64; PHASES]) -> Vec<f64> {
    due.iter().map(|note| by_phase.get(note.phase).copied().unwrap_or(0.0)).collect()
}

/// Mean lateness by phase, with the coarse result as prior.
fn refined(due: &[DueNote], matched: &[Option<Matched>], guess: &[f64; PHASES]) -> [f64; PHASES] {
    let mut sums = guess.map(|late| (GUESS_WEIGHT * late, GUESS_WEIGHT));
    for (note, hit) in due.iter().zip(matched) {
        if let (Some(hit), Some((sum, count))) = (hit, sums.get_mut(note.phase)) {
            *sum += hit.late;
            *count += 1.0;
        }
    }
    sums.map(|(sum, count)| sum / count)
}

/// Adds the running lag of the matched notes around each due note.
fn add_running_lag(expected: &mut [f64], matched: &[Option<Matched>]) {
    let beyond: Vec<(usize, f64)> = matched
        .iter()
        .zip(expected.iter())
        .enumerate()
        .filter_map(|(note, (hit, expected))| Some((note, hit.as_ref()?.late - expected)))
        .collect();
    for (note, expected) in expected.iter_mut().enumerate() {
        let here = beyond.partition_point(|(at, _)| *at < note);
        let around = beyond.get(here.saturating_sub(RUNNING)..).unwrap_or_default();
        let around = around.iter().take(RUNNING + here.min(RUNNING));
        let (sum, count) =
            around.fold((0.0, 0.0), |(sum, count), (_, late)| (sum + late, count + 1.0));
        *expected += sum / (count + RUNNING_WEIGHT);
    }
}

/// An onset matched with a note, the last of a chain of pairs.
struct Pair {
    note: usize,
    onset: usize,
    late: f64,
    before: Option<usize>,
}

struct Chains {
    pairs: Vec<Pair>,
    /// For each note, the best chain that ends before it: its score and last pair.
    best: Vec<(f64, Option<usize>)>,
}

impl Chains {
    /// The score of the best chain.
    fn score(&self) -> f64 {
        self.best.last().map_or(0.0, |(score, _)| *score)
    }

    /// The best chain, by note.
    fn matched(&self, due: usize) -> Vec<Option<Matched>> {
        let mut matched = vec![None; due];
        let mut last = self.best.last().and_then(|(_, last)| *last);
        while let Some(pair) = last.and_then(|last| self.pairs.get(last)) {
            if let Some(note) = matched.get_mut(pair.note) {
                *note = Some(Matched { onset: pair.onset, late: pair.late });
            }
            last = pair.before;
        }
        matched
    }
}

/// The best chains: a pair scores more the closer it is to the expected lateness, and 0 at its reach.
fn assign(due: &[Scoring], onsets: &[Beat], expected: &[f64]) -> Chains {
    let mut chains = Chains { pairs: Vec::with_capacity(onsets.len()), best: vec![(0.0, None)] };
    let Chains { pairs, best } = &mut chains;
    let mut near = 0;
    let mut within: Vec<(usize, f64, f64)> = Vec::new();
    for (onset, beat) in onsets.iter().enumerate() {
        while let Some((note, expected)) = due.get(near).zip(expected.get(near)) {
            if note.late(*beat) - expected <= note.reach {
                break;
            }
            near += 1;
        }
        let ahead = due.get(near..).unwrap_or_default().iter();
        let ahead = ahead.zip(expected.get(near..).unwrap_or_default()).zip(near..);
        within.clear();
        for ((note, expected), index) in ahead {
            let late = note.late(*beat);
            let away = late - expected;
            if away < -note.reach {
                break;
            }
            within.push((index, late, (note.score - note.loss * away * away).max(0.0)));
        }
        // Backwards, so that no chain has this onset twice.
        for (note, late, score) in within.iter().rev().copied() {
            while best.len() <= note + 1 {
                best.extend(best.last().copied());
            }
            let Some((so_far, before)) = best.get(note).copied() else { continue };
            let (pair, score) = (pairs.len(), so_far + score);
            pairs.push(Pair { note, onset, late, before });
            for behind in best.iter_mut().skip(note + 1).take_while(|(most, _)| *most < score) {
                *behind = (score, Some(pair));
            }
        }
    }
    chains
}
