//! The state space of Krebs, Böck and Widmer (2015): places in the bar at each tempo.
//!
//! At each tempo, a beat has as many states, or cells, as it has frames. Each frame advances by one cell; the tempo
//! changes only between beats.

use super::{real, single};

/// Error of the tempo of a count-in as a standard deviation, as a share. Origin: four taps.
pub(super) const TEMPO_SD: f32 = 0.03;

/// The largest deviation of the tempo from the count-in's, as a share. Origin: a study of recorded solos.
const WITHIN: f64 = 0.15;

/// Log-probability lost per relative change of tempo between beats: while the band is heard, and while it is silent.
/// Origin: fitted to rendered bands.
const CHANGE_HEARD: f32 = 100.0;
const CHANGE_QUIET: f32 = 300.0;

/// A state: a position in the bar at one tempo.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    /// In beats, from 0 at beat one.
    pub beat: f32,
    /// Its place in the evidence.
    pub place: usize,
}

/// A beat on a path through the states.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Step {
    /// The frame at which it starts; below 0 before the first.
    pub frame: f64,
    /// Frames to the next.
    pub period: usize,
    /// Its beat of the bar, from 0.
    pub beat: usize,
}

/// The state space.
#[derive(Debug, Clone)]
pub(super) struct Space {
    /// Beats per bar.
    pub beats: usize,
    /// Places per beat.
    pub in_beat: usize,
    /// The tempos, in frames per beat.
    pub periods: Vec<usize>,
    /// The cells of each tempo, one tempo after the other.
    pub cells: Vec<Cell>,
    /// Their places, in a compact form for the loops over every frame.
    pub places: Vec<u16>,
    /// The log-probability of each change of tempo, a row for each old one, while the band is heard.
    pub heard: Vec<f32>,
    /// The same while it is silent.
    pub quiet: Vec<f32>,
}

impl Space {
    /// Around a tempo of `frames` per beat, with `in_beat` places per beat.
    pub(super) fn new(beats: usize, frames: f64, in_beat: usize) -> Self {
        let low = super::whole((frames * (1.0 - WITHIN)).ceil()).max(2);
        let high = super::whole((frames * (1.0 + WITHIN)).floor()).max(low);
        let periods: Vec<usize> = (low..=high).collect();
        let cell = |beat: usize, frame: usize, period: usize| Cell {
            beat: real(beat) + real(frame) / real(period),
            place: beat * in_beat + frame * in_beat / period,
        };
        let bar = |period: usize| {
            (0..beats).flat_map(move |beat| (0..period).map(move |frame| cell(beat, frame, period)))
        };
        let cells: Vec<Cell> = periods.iter().flat_map(|period| bar(*period)).collect();
        let place = |cell: &Cell| u16::try_from(cell.place).unwrap_or(0);
        Self {
            beats,
            in_beat,
            places: cells.iter().map(place).collect(),
            cells,
            heard: changes(&periods, CHANGE_HEARD),
            quiet: changes(&periods, CHANGE_QUIET),
            periods,
        }
    }

    /// The number of tempos.
    pub(super) fn tempos(&self) -> usize {
        self.periods.len()
    }

    /// The distance of a cell from a beat of the bar, in beats; from any beat if `None`.
    pub(super) fn away(&self, cell: &Cell, beat: Option<usize>) -> f32 {
        let around = if beat.is_some() { real(self.beats) } else { 1.0 };
        let away = (cell.beat - beat.map_or(0.0, real)).rem_euclid(around);
        away.min(around - away)
    }
}

/// A row for each tempo: the log-probabilities of changing from it to each.
fn changes(periods: &[usize], cost: f32) -> Vec<f32> {
    let row = |from: &usize| {
        let to = periods.iter().map(|to| -cost * (real(*to) / real(*from) - 1.0).abs());
        let row: Vec<f32> = to.collect();
        let sum: f64 = row.iter().map(|log| f64::from(*log).exp()).sum();
        row.into_iter().map(move |log| log - single(sum.ln())).collect::<Vec<_>>()
    };
    periods.iter().flat_map(row).collect()
}
