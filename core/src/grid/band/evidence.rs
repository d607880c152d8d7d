//! The likelihood of a frame at each place in the bar. A beat is divided into places of equal length.

use super::frames::FITTED_PLACES;
pub(super) use super::frames::{Frame, Frames, LEVELS};
use super::hearing::PARTS;
use super::pattern::Pattern;
use super::weights::WEIGHTS;
use super::{real, single};

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
const AT_FIRST: f32 = 0.5;
const IN_FULL_AFTER: f32 = 8.0;

/// A row of the table: by part of the spectrum and level.
type Row = [[f32; LEVELS]; PARTS];

/// See the module.
#[derive(Debug, Clone)]
pub(super) struct Evidence {
    /// Of each place in the bar, part of the spectrum and level: how much likelier than anywhere, as a
    /// logarithm.
    table: Vec<Row>,
    /// The same before anything was learnt.
    as_fitted: Vec<Row>,
    /// The same as it was fitted, without the power.
    own: Vec<Row>,
    /// Places per beat.
    in_beat: usize,
    /// Beats heard so far.
    beats: f32,
    scale: f32,
    /// The same of the newest frame.
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
        let mut table = own.clone();
        mix(&mut table, scale * AT_FIRST, &own, &any);
        Self {
            as_fitted: table.clone(),
            table,
            places: vec![0.0; own.len()],
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

    /// How much likelier each place in the bar is by a frame than it was, as logarithms.
    pub(super) fn of(&mut self, frame: &Frame) -> &[f32] {
        for (value, row) in self.places.iter_mut().zip(&self.table) {
            let parts = row.iter().zip(frame.levels);
            let told = parts.filter_map(|(part, level)| part.get(usize::from(level?)));
            *value = told.sum();
        }
        &self.places
    }

    /// The same of one place, as it was fitted: what was learnt fits in any case, and does not show whether the
    /// band keeps time.
    pub(super) fn at(&self, frame: &Frame, place: usize) -> f32 {
        let row = self.as_fitted.get(place).copied().unwrap_or_default();
        let told = row.iter().zip(frame.levels);
        told.filter_map(|(part, level)| part.get(usize::from(level?))).sum()
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

/// Makes the table of what is usual at each place in its own beat, and in any.
fn mix(table: &mut [Row], scale: f32, own: &[Row], any: &[Row]) {
    for ((row, own), any) in table.iter_mut().zip(own).zip(any.iter().cycle()) {
        for ((part, own), any) in row.iter_mut().zip(own).zip(any) {
            for ((value, own), any) in part.iter_mut().zip(own).zip(any) {
                *value = scale * (OWN * own + (1.0 - OWN) * any);
            }
        }
    }
}
