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
}

/// A place with what it takes to fill it, worked out once.
struct Field {
    beat: f64,
    seconds_a_quarter: f64,
    /// An onset farther than this from where the player would have put the note does not fill the
    /// place, in seconds.
    reach: f64,
    /// What an onset right there is worth, and what it loses with the square of its distance.
    worth: f64,
    loss: f64,
}

impl Field {
    fn of(place: &DuePlace) -> Self {
        let value = place.seconds(place.quarters);
        let reach = (REACH_OF_VALUE * value).min(REACH.0 + REACH.1 * value);
        let spread = SPREAD.0.hypot(SPREAD.1 * value);
        let loss = 0.5 / (spread * spread);
        Self {
            beat: place.beat.0,
            seconds_a_quarter: place.seconds(1.0),
            reach,
            worth: loss * reach * reach,
            loss,
        }
    }

    /// How late an onset is for it, in seconds.
    fn late(&self, onset: Beat) -> f64 {
        (onset.0 - self.beat) * self.seconds_a_quarter
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
const LAGS: core::ops::RangeInclusive<i32> = -3..=5;
const LAG_STEP: f64 = 0.018;
const USUAL_LAG: (f64, f64) = (0.015, 0.030);

/// The part of a lag that notes off the beat have. Origin: soloists delay beats and play off-beats
/// closer to the time (Nelias and others 2022); a half is a round figure.
const OFF_BEAT_LAG: f64 = 0.5;

/// Where the second of two eighths is tried, in parts of the pulse behind the middle: straight to
/// about three to one (Benadon 2006, by definition of the ratio).
const SWINGS: [f64; 4] = [0.0, 0.08, 0.16, 0.24];

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
    let fields: Vec<Field> = places.iter().map(Field::of).collect();
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
            let worth = assign(&fields, onsets, &expected).worth();
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
        filled = assign(&fields, onsets, &expected(places, &by_phase)).filled(places.len());
        by_phase = refined(places, &filled, &guess);
    }
    let mut follow = expected(places, &by_phase);
    add_running_lag(&mut follow, &filled);
    assign(&fields, onsets, &follow).filled(places.len())
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

/// Chains of pairs, in order of both.
struct Chains {
    pairs: Vec<Pair>,
    /// For each place, the best chain that ends before it: its worth and last pair.
    best: Vec<(f64, Option<usize>)>,
}

impl Chains {
    /// What the best of all is worth.
    fn worth(&self) -> f64 {
        self.best.last().map_or(0.0, |(worth, _)| *worth)
    }

    /// The best of all, place by place.
    fn filled(&self, places: usize) -> Vec<Option<Filled>> {
        let mut filled = vec![None; places];
        let mut last = self.best.last().and_then(|(_, last)| *last);
        while let Some(pair) = last.and_then(|last| self.pairs.get(last)) {
            if let Some(slot) = filled.get_mut(pair.place) {
                *slot = Some(Filled { onset: pair.onset, late: pair.late });
            }
            last = pair.before;
        }
        filled
    }
}

/// The best chains: a pair is worth more the nearer it is to what is expected, and nothing at its
/// reach.
fn assign(places: &[Field], onsets: &[Beat], expected: &[f64]) -> Chains {
    let mut chains = Chains { pairs: Vec::with_capacity(onsets.len()), best: vec![(0.0, None)] };
    let Chains { pairs, best } = &mut chains;
    let mut near = 0;
    let mut within: Vec<(usize, f64, f64)> = Vec::new();
    for (onset, beat) in onsets.iter().enumerate() {
        while let Some((place, expected)) = places.get(near).zip(expected.get(near)) {
            if place.late(*beat) - expected <= place.reach {
                break;
            }
            near += 1;
        }
        let ahead = places.get(near..).unwrap_or_default().iter();
        let ahead = ahead.zip(expected.get(near..).unwrap_or_default()).zip(near..);
        within.clear();
        for ((place, expected), index) in ahead {
            let late = place.late(*beat);
            let away = late - expected;
            if away < -place.reach {
                break;
            }
            within.push((index, late, (place.worth - place.loss * away * away).max(0.0)));
        }
        // The last place first, so that no chain has this onset twice.
        for (place, late, worth) in within.iter().rev().copied() {
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
    chains
}
