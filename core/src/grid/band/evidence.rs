//! The likelihood of a frame at each place in the bar. A beat is divided into places of equal length.

use super::frames::FITTED_PLACES;
pub(super) use super::frames::{Frame, Frames, LEVELS};
use super::hearing::PARTS;
use super::pattern::Pattern;
use super::weights::WEIGHTS;
use super::{real, single};
use core::array::from_fn;

/// Beats of the bar that the weights distinguish.
const FITTED_BEATS: usize = 4;

/// Weights are in 32nds.
const STEPS: f32 = 32.0;

/// The exponent of a hop's likelihood, as hops are not independent. Origin: fitted to rendered bands.
const POWER: f32 = 0.1;

/// The share of the weights for a particular beat of the bar; the rest is for any beat. Bands differ more in what
/// they play on which beat than in where beats are. Origin: as above.
const OWN: f32 = 0.25;

/// The weight of the evidence at first, and the beats after which it is 1: until this band's pattern is learnt, the
/// count-in is the better guide. Origin: as above.
const AT_FIRST: f32 = 0.75;
const IN_FULL_AFTER: f32 = 8.0;

/// The weights of a place, by part of the spectrum and level.
type Row = [[f32; LEVELS]; PARTS];

/// The weights of all places, by part of the spectrum and level: a frame looks them up together.
type Table = [[Vec<f32>; LEVELS]; PARTS];

/// See the module.
#[derive(Debug, Clone)]
pub(super) struct Evidence {
    /// Log-likelihood ratios against anywhere, with this band's pattern.
    table: Table,
    /// The same without it.
    as_fitted: Table,
    /// The fitted weights of each place in the bar, before the exponent.
    own: Vec<Row>,
    /// Places per beat.
    in_beat: usize,
    /// Beats heard so far.
    beats: f32,
    scale: f32,
    /// Log-likelihood ratios of the newest frame, by place.
    places: Vec<f32>,
    pattern: Pattern,
}

impl Evidence {
    pub(super) fn new(beats: usize, frames: &Frames) -> Self {
        let fitted = |beat: usize, place: usize| {
            WEIGHTS.get(beat * FITTED_PLACES + place).copied().unwrap_or_default()
        };
        let mean = |beats: &[usize], place: usize| {
            let mut row = Row::default();
            for beat in beats {
                for (part, weights) in row.iter_mut().zip(fitted(*beat, place)) {
                    for (value, weight) in part.iter_mut().zip(weights) {
                        *value += f32::from(weight) / STEPS / real(beats.len());
                    }
                }
            }
            row
        };
        let all: Vec<usize> = (0..FITTED_BEATS).collect();
        let own = |beat: usize| match beat {
            _ if beats == FITTED_BEATS => vec![beat],
            0 => vec![0],
            _ => (1..FITTED_BEATS).collect(),
        };
        let in_beat = || (0..frames.places).map(|place| as_fitted(place, frames.places));
        let places = (0..beats).flat_map(|beat| in_beat().map(move |place| (beat, place)));
        let own: Vec<Row> = places.map(|(beat, place)| mean(&own(beat), place)).collect();
        let any: Vec<Row> = in_beat().map(|place| mean(&all, place)).collect();
        let scale = POWER * single(f64::from(frames.step));
        let all_places = || vec![0.0; own.len()];
        let mut as_fitted: Table = from_fn(|_| from_fn(|_| all_places()));
        mix(&mut as_fitted, scale, &own, &any);
        let mut table = as_fitted.clone();
        mix(&mut table, scale * AT_FIRST, &own, &any);
        Self {
            as_fitted,
            table,
            places: all_places(),
            own,
            pattern: Pattern::new(frames.step, any),
            in_beat: frames.places,
            beats: 0.0,
            scale,
        }
    }

    /// Learns what this band plays at a place in the bar.
    pub(super) fn learn(&mut self, frame: &Frame, place: usize) {
        if self.pattern.learn(frame, place % self.in_beat) {
            self.beats += 1.0;
            let trust = AT_FIRST + (1.0 - AT_FIRST) * self.beats / IN_FULL_AFTER;
            mix(&mut self.table, self.scale * trust.min(1.0), &self.own, self.pattern.rows());
        }
    }

    /// Log-likelihood ratios of a frame, by place in the bar.
    pub(super) fn of(&mut self, frame: &Frame) -> &[f32] {
        self.places.fill(0.0);
        for part in heard(&self.table, frame) {
            self.places.iter_mut().zip(part).for_each(|(sum, value)| *sum += value);
        }
        &self.places
    }

    /// The same for one place, as fitted: a learnt pattern always fits, so it does not show whether the band keeps
    /// time.
    pub(super) fn at(&self, frame: &Frame, place: usize) -> f32 {
        heard(&self.as_fitted, frame).filter_map(|places| places.get(place)).sum()
    }
}

/// Fitted places on either side of a beat that its attack covers. Origin: 50 ms at 140 BPM.
const ATTACK: usize = 3;

/// The fitted place whose weights apply at `place`, of `places` per beat. Near the beat the places are equally long,
/// as attacks are; between beats the fitted places are stretched.
fn as_fitted(place: usize, places: usize) -> usize {
    let away = place.min(places - place);
    let between = |away: usize| {
        let (fitted, all) = (FITTED_PLACES / 2 - ATTACK, places / 2 - ATTACK);
        ATTACK + ((away - ATTACK) * fitted + all / 2) / all
    };
    let fitted = if away <= ATTACK { away } else { between(away) };
    if place == away { fitted } else { FITTED_PLACES - fitted }
}

/// The weights for what a frame has in each part of the spectrum, by place; silent parts have none.
fn heard<'a>(table: &'a Table, frame: &Frame) -> impl Iterator<Item = &'a Vec<f32>> {
    table.iter().zip(frame.levels).filter_map(|(part, level)| part.get(usize::from(level?)))
}

/// Fills the table from the weights for a place's own beat and those for any beat.
fn mix(table: &mut Table, scale: f32, own: &[Row], any: &[Row]) {
    for (place, (own, any)) in own.iter().zip(any.iter().cycle()).enumerate() {
        for ((part, own), any) in table.iter_mut().zip(own).zip(any) {
            for ((places, own), any) in part.iter_mut().zip(own).zip(any) {
                if let Some(value) = places.get_mut(place) {
                    *value = scale * (OWN * own + (1.0 - OWN) * any);
                }
            }
        }
    }
}
