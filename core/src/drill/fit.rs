//! Which onset fills which place of an unbroken line.
//!
//! Every place takes at most one onset and every onset fills at most one place, in order; of all
//! such assignments the likeliest is taken. The player's own lag and the shape of the beat (swing)
//! are part of the fit: they are tried over a grid, then refined on the notes themselves, then
//! let follow the player through the chorus. A note is thus compared with where this player would
//! have put it, not with the grid.

use crate::time::{Beat, Tempo};

/// A place due.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DuePlace {
    /// Where it is notated.
    pub beat: Beat,
    /// The tempo there.
    pub tempo: Tempo,
    /// Which of the places of its pulse it is, from 0.
    pub phase: usize,
    /// Length of the note value there, in quarter notes.
    pub quarters: f64,
}

impl DuePlace {
    fn seconds(&self, quarters: f64) -> f64 {
        quarters * 60.0 / self.tempo.quarters_a_minute()
    }

    /// How late an onset is for it, in seconds.
    fn late(&self, onset: Beat) -> f64 {
        self.seconds((onset - self.beat).0)
    }

    /// An onset farther than this from where the player would have put the note does not fill the
    /// place, in seconds.
    fn reach(&self) -> f64 {
        let value = self.seconds(self.quarters);
        (REACH_OF_VALUE * value).min(REACH.0 + REACH.1 * value)
    }
}

/// The farthest an onset may be from where it is expected: seconds, and a part of the note value.
/// Origin: four times the spread of a soloist's timing (21.5 ms within a solo, Weimar Jazz
/// Database, Pfleiderer and others 2017), and a little more where notes are long.
const REACH: (f64, f64) = (0.080, 0.050);

/// But no more than this part of the note value: three quarters, as the neighbouring notes are
/// there to tell which one is meant.
const REACH_OF_VALUE: f64 = 0.75;

/// Spread of onsets: seconds, and a part of the note value, added as squares. Origin: as above;
/// the second is common practice, no source.
const SPREAD: (f64, f64) = (0.022, 0.02);

/// Lags that are tried first, in seconds, and how usual they are: mean and spread. Origin: mean
/// delays on the beat of 7 to 51 ms by tempo (as above), and players ahead of the beat.
const LAGS: core::ops::RangeInclusive<i32> = -6..=9;
const LAG_STEP: f64 = 0.010;
const USUAL_LAG: (f64, f64) = (0.015, 0.030);

/// The part of a lag that notes off the beat have. Origin: soloists delay beats and play off-beats
/// closer to the time (Nelias and others 2022); a half is a round figure.
const OFF_BEAT_LAG: f64 = 0.5;

/// Where the second of two eighths is tried, in parts of the pulse behind the middle: straight to
/// about three to one (Benadon 2006, by definition of the ratio).
const SWINGS: [f64; 6] = [0.0, 0.05, 0.1, 0.15, 0.2, 0.25];

/// What the first guess of a place in the beat counts for when it is refined, in notes.
const GUESS_WORTH: f64 = 2.0;

/// How many matched notes to each side tell the running lag, and what none counts for.
const RUNNING: usize = 8;
const RUNNING_WORTH: f64 = 4.0;

/// Places in a pulse that are told apart: no note value has more.
const PHASES: usize = 16;

/// An onset that fills a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filled {
    /// Index of the onset.
    pub onset: usize,
    /// How late it is for the place as notated, in seconds.
    pub late: f64,
}

/// For each of `places`, in order, the one of `onsets`, in order, that fills it.
#[must_use]
pub fn fit(places: &[DuePlace], onsets: &[Beat]) -> Vec<Option<Filled>> {
    let swings =
        places.iter().any(|place| place.phase == 1) && places.iter().all(|place| place.phase < 2);
    let mut best: Option<(f64, [f64; PHASES])> = None;
    let shapes = if swings { &SWINGS[..] } else { SWINGS.get(..1).unwrap_or_default() };
    for lag in LAGS.map(|step| f64::from(step) * LAG_STEP) {
        let usual = (lag - USUAL_LAG.0) / USUAL_LAG.1;
        for swing in shapes {
            let late = |place: &DuePlace| match place.phase {
                0 => lag,
                1 if swings => OFF_BEAT_LAG * lag + place.seconds(2.0 * place.quarters * swing),
                _ => OFF_BEAT_LAG * lag,
            };
            let expected: Vec<f64> = places.iter().map(late).collect();
            let (worth, _) = assign(places, onsets, &expected);
            let worth = worth - 0.5 * usual * usual;
            if best.is_none_or(|(most, _)| worth > most) {
                let mut by_phase = [OFF_BEAT_LAG * lag; PHASES];
                for (slot, late) in by_phase.iter_mut().zip([lag, means(places, &expected)]) {
                    *slot = late;
                }
                best = Some((worth, by_phase));
            }
        }
    }
    let mut by_phase = best.map_or([0.0; PHASES], |(_, by_phase)| by_phase);
    let guess = by_phase;
    let mut filled = Vec::new();
    for _ in 0..2 {
        filled = assign(places, onsets, &expected(places, &by_phase)).1;
        by_phase = refined(places, &filled, &guess);
    }
    let mut follow = expected(places, &by_phase);
    add_running_lag(&mut follow, &filled);
    assign(places, onsets, &follow).1
}

/// Mean of what is expected of the second place of a pulse; tempo changes make it vary.
fn means(places: &[DuePlace], expected: &[f64]) -> f64 {
    let second = places.iter().zip(expected).filter(|(place, _)| place.phase == 1);
    let (sum, count) = second.fold((0.0, 0.0), |(sum, count), (_, late)| (sum + late, count + 1.0));
    if count > 0.0 { sum / count } else { 0.0 }
}

fn expected(places: &[DuePlace], by_phase: &[f64; PHASES]) -> Vec<f64> {
    places.iter().map(|place| by_phase.get(place.phase).copied().unwrap_or(0.0)).collect()
}

/// How late notes are by their place in the pulse, as far as the notes say, else as guessed.
fn refined(places: &[DuePlace], filled: &[Option<Filled>], guess: &[f64; PHASES]) -> [f64; PHASES] {
    let mut sums = guess.map(|late| (GUESS_WORTH * late, GUESS_WORTH));
    for (place, hit) in places.iter().zip(filled) {
        if let (Some(hit), Some((sum, count))) = (hit, sums.get_mut(place.phase)) {
            *sum += hit.late;
            *count += 1.0;
        }
    }
    sums.map(|(sum, count)| sum / count)
}

/// Lets what is expected follow the notes around each place.
fn add_running_lag(expected: &mut [f64], filled: &[Option<Filled>]) {
    let beyond: Vec<(usize, f64)> = filled
        .iter()
        .zip(expected.iter())
        .enumerate()
        .filter_map(|(place, (hit, expected))| Some((place, hit.as_ref()?.late - expected)))
        .collect();
    for (place, expected) in expected.iter_mut().enumerate() {
        let here = beyond.partition_point(|(at, _)| *at < place);
        let around = beyond.get(here.saturating_sub(RUNNING)..).unwrap_or_default();
        let around = around.iter().take(RUNNING + here.min(RUNNING));
        let (sum, count) =
            around.fold((0.0, 0.0), |(sum, count), (_, late)| (sum + late, count + 1.0));
        *expected += sum / (count + RUNNING_WORTH);
    }
}

/// An onset put on a place, at the end of a chain of such pairs.
struct Pair {
    place: usize,
    onset: usize,
    late: f64,
    before: Option<usize>,
}

/// The chain of pairs, in order of both, that is worth most: a pair is worth more the nearer it is
/// to what is expected, and nothing at its reach.
fn assign(places: &[DuePlace], onsets: &[Beat], expected: &[f64]) -> (f64, Vec<Option<Filled>>) {
    let mut pairs: Vec<Pair> = Vec::new();
    // For each place, the best chain that ends before it: its worth and last pair.
    let mut best: Vec<(f64, Option<usize>)> = vec![(0.0, None)];
    let mut near = 0;
    for (onset, beat) in onsets.iter().enumerate() {
        while let Some((place, late)) = places.get(near).zip(expected.get(near)) {
            if place.late(*beat) - late <= place.reach() {
                break;
            }
            near += 1;
        }
        let within = places.iter().zip(expected).enumerate().skip(near);
        let within: Vec<(usize, f64, f64)> = within
            .map(|(index, (place, late))| (index, place, place.late(*beat), *late))
            .take_while(|(_, place, late, expected)| late - expected >= -place.reach())
            .map(|(index, place, late, expected)| (index, late, worth(place, late - expected)))
            .collect();
        // The last place first, so that no chain has this onset twice.
        for (place, late, worth) in within.into_iter().rev() {
            while best.len() <= place + 1 {
                best.extend(best.last().copied());
            }
            let Some((so_far, before)) = best.get(place).copied() else { continue };
            let (pair, worth) = (pairs.len(), so_far + worth);
            pairs.push(Pair { place, onset, late, before });
            for behind in best.iter_mut().skip(place + 1).take_while(|(most, _)| *most < worth) {
                *behind = (worth, Some(pair));
            }
        }
    }
    let (worth, mut last) = best.last().copied().unwrap_or_default();
    let mut filled = vec![None; places.len()];
    while let Some(pair) = last.and_then(|last| pairs.get(last)) {
        if let Some(slot) = filled.get_mut(pair.place) {
            *slot = Some(Filled { onset: pair.onset, late: pair.late });
        }
        last = pair.before;
    }
    (worth, filled)
}

fn worth(place: &DuePlace, away: f64) -> f64 {
    let spread = SPREAD.0.hypot(SPREAD.1 * place.seconds(place.quarters));
    let reach = place.reach();
    (0.5 * (reach * reach - away * away) / (spread * spread)).max(0.0)
}
